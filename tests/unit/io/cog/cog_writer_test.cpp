// SPDX-License-Identifier: Apache-2.0

// GDAL's GTiff driver judges what we wrote: it shares no code with the writer.
#include "base/parallel_for.hpp"
#include "io/cog/cog_writer.hpp"
#include "io/gdal/errors.hpp"
#include "io/gdal/setup.hpp"
#include "unit/io/file_size_limit.hpp"
#include "unit/io/scratch_folder.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <random>

using namespace fuelring;

namespace {

constexpr int block_side = out_block_cells;
constexpr float no_value = std::numeric_limits<float>::quiet_NaN();
constexpr std::array<double, 6> north_up = {500'000, 2, 0, 5'250'000, 0, -2};

using Kind = RasterOutSpec::Kind;
using Values = std::vector<float>;

struct Block {
    std::int64_t col;
    std::int64_t row;
    Values values;
};

/// A smooth field with a hole of NaN, different in every block.
Values field(std::int64_t col, std::int64_t row)
{
    Values values(block_side * block_side);
    for (int r = 0; r < block_side; ++r)
        for (int c = 0; c < block_side; ++c) {
            const double x = static_cast<double>(col * block_side + c);
            const double y = static_cast<double>(row * block_side + r);
            const bool hole = std::hypot(c - 250, r - 250) < 60;
            const bool bare = std::sin(x / 40) < 0;
            values[static_cast<std::size_t>(r * block_side + c)] =
                hole   ? no_value
                : bare ? 0
                       : static_cast<float>(std::abs(std::sin(x / 97) + std::cos(y / 61)));
        }
    return values;
}

RasterOutSpec surface_spec(const std::filesystem::path& path)
{
    RasterOutSpec spec;
    spec.path = path;
    spec.band_names = {"points per cell & <more>"};
    spec.metadata = {{"UNITS", "percentage points"}};
    return spec;
}

Crs utm()
{
    set_up_gdal();
    return Crs::from_user_input("EPSG:32632", "test");
}

void write_surface(const RasterOutSpec& spec, const Grid& grid, const std::vector<Block>& blocks,
                   int threads = 1)
{
    RasterOut out{spec, grid, utm()};
    share_out(blocks.size(), threads, [&](const auto& next) {
        for (std::size_t k = next(); k < blocks.size(); k = next())
            out.put(blocks[k].col, blocks[k].row, blocks[k].values);
    });
    out.finish();
}

Values filled(float value)
{
    return Values(block_side * block_side, value);
}

/// A surface that was written, as GDAL opens it.
struct Surface {
    Surface(const Grid& grid, const std::vector<Block>& blocks, bool always_big = false)
        : spec(surface_spec(folder / "priority.tif"))
    {
        spec.always_big = always_big;
        write_surface(spec, grid, blocks);
        file.reset(GDALOpen(spec.path.c_str(), GA_ReadOnly));
        REQUIRE(file);
        band = GDALGetRasterBand(file.get(), 1);
    }
    ScratchFolder folder{};
    RasterOutSpec spec;
    DatasetPtr file{};
    GDALRasterBandH band = nullptr;
};

Values read(GDALRasterBandH band, int col, int row, int cols, int rows)
{
    Values values(static_cast<std::size_t>(cols) * static_cast<std::size_t>(rows));
    REQUIRE(GDALRasterIO(band, GF_Read, col, row, cols, rows, values.data(), cols, rows,
                         GDT_Float32, 0, 0) == CE_None);
    return values;
}

bool same(float a, float b)
{
    return a == b || (std::isnan(a) && std::isnan(b));
}

double item(GDALRasterBandH band, const char* key)
{
    const char* text = GDALGetMetadataItem(band, key, nullptr);
    REQUIRE(text != nullptr);
    return std::strtod(text, nullptr);
}

} // namespace

TEST_CASE("GDAL reads back every cell that was put, and nodata elsewhere")
{
    // 1100 x 700 cells: 3 x 2 blocks, the last of each row and column cut off by the edge.
    const Surface surface{Grid{north_up, 1100, 700}, {{2, 1, field(2, 1)}, {0, 0, field(0, 0)}}};
    const Values cells = read(surface.band, 0, 0, 1100, 700);
    const Values first = field(0, 0);
    const Values last = field(2, 1);
    int wrong = 0;
    for (int row = 0; row < 700; ++row) {
        for (int col = 0; col < 1100; ++col) {
            float expected = no_value;
            if (row < block_side && col < block_side)
                expected = first[static_cast<std::size_t>(row * block_side + col)];
            else if (row >= block_side && col >= 2 * block_side)
                expected = last[static_cast<std::size_t>((row - block_side) * block_side + col -
                                                         2 * block_side)];
            wrong += same(cells[static_cast<std::size_t>(row * 1100 + col)], expected) ? 0 : 1;
        }
    }
    CHECK(wrong == 0);
}

TEST_CASE("the file is a COG that says what it is: layout, nodata, names, place")
{
    const Surface surface{Grid{north_up, 1100, 700}, {{0, 0, field(0, 0)}}};
    const DatasetPtr& file = surface.file;
    GDALRasterBandH band = surface.band;
    const auto text = [&](const char* key, const char* domain) {
        const char* value = GDALGetMetadataItem(file.get(), key, domain);
        return std::string{value ? value : ""};
    };
    CHECK(text("LAYOUT", "IMAGE_STRUCTURE") == "COG");
    CHECK(text("COMPRESSION", "IMAGE_STRUCTURE") == "DEFLATE");
    CHECK(text("UNITS", nullptr) == "percentage points");
    CHECK(text("AREA_OR_POINT", nullptr) == "Area");
    int block_cols = 0;
    int block_rows = 0;
    GDALGetBlockSize(band, &block_cols, &block_rows);
    CHECK(block_cols == 512);
    CHECK(block_rows == 512);
    int has_nodata = 0;
    CHECK(std::isnan(GDALGetRasterNoDataValue(band, &has_nodata)));
    CHECK(has_nodata);
    CHECK(std::string{GDALGetDescription(band)} == "points per cell & <more>");
    REQUIRE(GDALGetOverviewCount(band) == 2); // 550 x 350, 275 x 175: the last fits one block
    CHECK(GDALGetRasterBandXSize(GDALGetOverview(band, 0)) == 550);
    CHECK(GDALGetRasterBandYSize(GDALGetOverview(band, 1)) == 175);
    std::array<double, 6> place{};
    CHECK(GDALGetGeoTransform(file.get(), place.data()) == CE_None);
    CHECK(place == north_up);
    CHECK(Crs::from_wkt(GDALGetProjectionRef(file.get())).same_as(utm()));
}

TEST_CASE("blocks that were never put, or hold nodata only, take no room in the file")
{
    const Surface surface{Grid{north_up, 1100, 700},
                          {{0, 0, field(0, 0)}, {1, 1, filled(no_value)}}};
    GDALRasterBandH band = surface.band;
    CHECK(GDALGetMetadataItem(band, "BLOCK_OFFSET_0_0", "TIFF") != nullptr);
    CHECK(GDALGetMetadataItem(band, "BLOCK_OFFSET_1_0", "TIFF") == nullptr);
    CHECK(GDALGetMetadataItem(band, "BLOCK_OFFSET_1_1", "TIFF") == nullptr);
    CHECK(std::isnan(read(band, 600, 600, 1, 1)[0]));
}

TEST_CASE("statistics are of the valid cells inside the raster")
{
    // 600 x 1 cells: 512 of value 1 and 88 of value 3; beyond the edge the caller left rubbish.
    const Surface surface{Grid{north_up, 600, 1}, {{0, 0, filled(1)}, {1, 0, filled(3)}}};
    GDALRasterBandH band = surface.band;
    const double part = 88.0 / 600;
    CHECK(item(band, "STATISTICS_MINIMUM") == 1);
    CHECK(item(band, "STATISTICS_MAXIMUM") == 3);
    CHECK(item(band, "STATISTICS_MEAN") == doctest::Approx(1 + 2 * part).epsilon(1e-14));
    CHECK(item(band, "STATISTICS_STDDEV") ==
          doctest::Approx(2 * std::sqrt(part * (1 - part))).epsilon(1e-14));
    CHECK(item(band, "STATISTICS_VALID_PERCENT") == 100);
}

TEST_CASE("overviews are means of the valid cells, level by level, across block borders")
{
    // A raster of 1024 x 513 with one value per block: 8 | 2 above, NaN | 4 in the last row.
    const Surface surface{Grid{north_up, 1024, 513},
                          {{0, 0, filled(8)}, {1, 0, filled(2)}, {1, 1, filled(4)}}};
    REQUIRE(GDALGetOverviewCount(surface.band) == 1); // 512 x 257
    GDALRasterBandH overview = GDALGetOverview(surface.band, 0);
    CHECK(read(overview, 255, 255, 1, 1)[0] == 8);
    CHECK(read(overview, 256, 255, 1, 1)[0] == 2);
    CHECK(std::isnan(read(overview, 255, 256, 1, 1)[0]));
    CHECK(read(overview, 256, 256, 1, 1)[0] == 4); // of the two cells there are
}

TEST_CASE("the same blocks give the same bytes in any order, by any threads")
{
    const ScratchFolder folder;
    const Grid grid{north_up, 2200, 1500};
    std::vector<Block> blocks;
    for (std::int64_t k = 0; k < 15; k += 2)
        blocks.push_back({k % 5, k / 5, field(k % 5, k / 5)});
    RasterOutSpec spec = surface_spec(folder / "a.tif");
    write_surface(spec, grid, blocks);
    const std::string expected = bytes_of(spec.path);
    CHECK(expected.size() > 100'000);
    constexpr unsigned seed = 4;
    CAPTURE(seed);
    std::mt19937 random{seed};
    std::ranges::shuffle(blocks, random);
    spec.path = folder / "b.tif";
    spec.threads = 3;
    write_surface(spec, grid, blocks, 3);
    CHECK(bytes_of(spec.path) == expected);
}

TEST_CASE("fuel_used keeps both bands and their own nodata")
{
    const ScratchFolder folder;
    const Grid grid{north_up, 700, 40};
    RasterOutSpec spec;
    spec.path = folder / "fuel_used.tif";
    spec.kind = Kind::fuel_used;
    spec.band_names = {"conifer share", "group"};
    {
        std::vector<std::uint16_t> share(block_side * block_side, 65535);
        std::vector<std::uint16_t> group(block_side * block_side, 9);
        share[3] = 10'000;
        group[3] = 1;
        RasterOut out{spec, grid, utm()};
        out.put(1, 0, share, group);
        out.finish();
    }
    const DatasetPtr file{GDALOpen(spec.path.c_str(), GA_ReadOnly)};
    REQUIRE(GDALGetRasterCount(file.get()) == 2);
    GDALRasterBandH share = GDALGetRasterBand(file.get(), 1);
    GDALRasterBandH group = GDALGetRasterBand(file.get(), 2);
    CHECK(GDALGetRasterDataType(share) == GDT_UInt16);
    CHECK(GDALGetRasterNoDataValue(share, nullptr) == 65535);
    CHECK(read(share, 512, 0, 5, 1) == Values{65535, 65535, 65535, 10'000, 65535});
    CHECK(read(group, 512, 0, 5, 1) == Values{9, 9, 9, 1, 9});
    CHECK(read(group, 511, 0, 1, 1)[0] == 65535);
    CHECK(item(share, "STATISTICS_MEAN") == 10'000);
    CHECK(item(group, "STATISTICS_MAXIMUM") == 9);
    CHECK(std::string{GDALGetDescription(group)} == "group");
}

TEST_CASE("a raster smaller than a block, of one cell, needs no overview")
{
    const Surface surface{Grid{north_up, 1, 1}, {{0, 0, filled(0.25F)}}};
    CHECK(GDALGetOverviewCount(surface.band) == 0);
    CHECK(read(surface.band, 0, 0, 1, 1)[0] == 0.25F);
}

TEST_CASE("a raster into which nothing was put is a COG of nodata")
{
    const Surface surface{Grid{north_up, 1100, 700}, {}};
    CHECK(std::isnan(read(surface.band, 1099, 699, 1, 1)[0]));
}

TEST_CASE("rotated and mirrored grids keep their place")
{
    const std::array<double, 6> places[] = {{500'000, 1.2, 1.6, 5'250'000, 1.6, -1.2},
                                            {500'000, 2, 0, 5'250'000, 0, 2}};
    for (const std::array<double, 6>& wanted : places) {
        CAPTURE(wanted[2]);
        const Surface surface{Grid{wanted, 600, 600}, {{0, 0, field(0, 0)}}};
        std::array<double, 6> place{};
        CHECK(GDALGetGeoTransform(surface.file.get(), place.data()) == CE_None);
        for (std::size_t k = 0; k < 6; ++k)
            CHECK(place[k] == doctest::Approx(wanted[k]).epsilon(1e-15));
    }
}

TEST_CASE("BigTIFF reads the same")
{
    const Values values = field(1, 0);
    const Surface surface{Grid{north_up, 1100, 700}, {{1, 0, values}}, true};
    CHECK(bytes_of(surface.spec.path).substr(0, 4) == std::string("II+\0", 4));
    const Values back = read(surface.band, block_side, 0, block_side, block_side);
    CHECK(std::ranges::equal(back, values, same));
}

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
