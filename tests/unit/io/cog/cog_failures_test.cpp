// SPDX-License-Identifier: Apache-2.0

// A writer that fails, or is used wrongly, leaves no file.
#include "cog_surfaces.hpp"
#include "unit/io/file_size_limit.hpp"

#include <fuelring/error.hpp>

using namespace fuelring;
using namespace fuelring::test;

TEST_CASE("a disk that runs full is an output error and leaves nothing behind")
{
    const Grid grid{north_up, 2200, 1500};
    // The first limit stops a put, the later ones the overviews or the file itself.
    int failed = 0;
    for (const rlim_t limit : {100'000U, 1'000'000U, 1'200'000U, 1'400'000U}) {
        CAPTURE(limit);
        const ScratchFolder folder;
        const RasterOutSpec spec = surface_spec(folder / "priority.tif");
        const FileSizeLimit full{limit};
        try {
            write_surface(spec, grid, {{0, 0, field(0, 0)}, {1, 1, field(1, 1)}});
        } catch (const Error& error) {
            ++failed;
            CHECK(error.kind() == Failure::output);
            CHECK(error.message().find("limit on file size") != std::string::npos);
            CHECK(folder.empty());
        }
    }
    CHECK(failed >= 2);
}

TEST_CASE("without finish there is no file")
{
    const ScratchFolder folder;
    {
        RasterOut out{surface_spec(folder / "priority.tif"), Grid{north_up, 600, 600}, utm()};
        out.put(0, 0, field(0, 0));
    }
    CHECK(folder.empty());
}

TEST_CASE("putting a block twice or outside the raster is a programmer's error")
{
    const ScratchFolder folder;
    RasterOut out{surface_spec(folder / "priority.tif"), Grid{north_up, 600, 600}, utm()};
    const Values values = field(0, 0);
    out.put(0, 0, values);
    CHECK_THROWS_AS(out.put(0, 0, values), std::logic_error);
    CHECK_THROWS_AS(out.put(2, 0, values), std::logic_error);
    CHECK_THROWS_AS(out.put(0, -1, values), std::logic_error);
    CHECK_THROWS_AS(out.put(1, 0, std::span{values}.first(5)), std::logic_error);
}
