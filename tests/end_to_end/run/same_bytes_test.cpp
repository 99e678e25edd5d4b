// SPDX-License-Identifier: Apache-2.0
#include "support/make_inputs.hpp"
#include "support/read_outputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>

using namespace fuelring::test;

namespace {

/// Everything of an output folder that has to be the same for the same inputs.
struct Outputs {
    explicit Outputs(const fs::path& out)
        : csv{text_of(out / "addresses.csv")}, neighbourhoods{text_of(out / "neighbourhoods.csv")},
          dump{dump_of(out / "fuelring.gpkg")}, priority{read_band(out / "priority.tif")},
          share{read_band(out / "fuel_used.tif", 1)}, group{read_band(out / "fuel_used.tif", 2)}
    {}
    std::string csv, neighbourhoods, dump;
    Band priority, share, group;
};

Outputs outputs_with(const fs::path& folder, const std::string& jobs, const std::string& tile_cells)
{
    ConfigFile config = sample_config(sample_data());
    config("inputs.parcels", "path") = toml_text(sample_data() / "parcels.gpkg");
    config("inputs.parcels", "owner") = toml_text("owner");
    config("uncertainty", "draws") = std::to_string(6);
    config("run", "tile_cells") = tile_cells;
    config.write(folder / "run.toml");
    must_succeed(run_fuelring({"map", folder / "run.toml", "--jobs", jobs}));
    return Outputs{folder / "out"};
}

} // namespace

TEST_CASE("neither the number of workers nor the size of tiles changes a byte or a cell")
{
    const TempFolder folder;
    const Outputs first = outputs_with(folder.path(), "1", "512");
    CHECK(first.csv.size() > 100'000);
    CHECK(first.dump.size() > 100'000);
    CHECK(first.priority.sum() > 1000);
    struct Case {
        std::string jobs, tile_cells;
    };
    // Every number of workers and every size once more, in pairs that share neither.
    const Case cases[] = {{"2", "256"}, {"7", "1024"}, {"2", "1024"}, {"7", "256"}, {"7", "512"}};
    for (const Case& c : cases) {
        CAPTURE(c.jobs);
        CAPTURE(c.tile_cells);
        const Outputs other = outputs_with(folder.path(), c.jobs, c.tile_cells);
        CHECK((other.csv == first.csv)); // in brackets: a failure should not print 100 kB
        CHECK((other.neighbourhoods == first.neighbourhoods));
        CHECK((other.dump == first.dump)); // hectares with all their bits
        CHECK(other.priority.same_cells(first.priority));
        CHECK(other.share.same_cells(first.share));
        CHECK(other.group.same_cells(first.group));
    }
}
