// SPDX-License-Identifier: Apache-2.0

// GDAL's GTiff driver judges what we wrote: it shares no code with the writer.
#include "cog_surfaces.hpp"

#include <algorithm>
#include <random>

using namespace fuelring;
using namespace fuelring::test;

TEST_CASE("GDAL reads back every cell that was put, and nodata elsewhere")
{
    // 1100 x 700 cells: 3 x 2 blocks, the last of each row and column cut off by the edge.
    const WrittenSurface surface{Grid{north_up, 1100, 700},
                                 {{2, 1, field(2, 1)}, {0, 0, field(0, 0)}}};
    GDALRasterBandH band = surface.band;
    const Values cells = read(band, 0, 0, 1100, 700);
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
    const ScratchFolder folder;
    const Grid grid{north_up, 1100, 700};
    const RasterOutSpec spec = surface_spec(folder / "priority.tif");
    write_surface(spec, grid, {{0, 0, field(0, 0)}});
    const DatasetPtr file = open(spec.path);
    REQUIRE(file);
    const auto text = [&](const char* key, const char* domain) {
        const char* value = GDALGetMetadataItem(file.get(), key, domain);
        return std::string{value ? value : ""};
    };
    CHECK(text("LAYOUT", "IMAGE_STRUCTURE") == "COG");
    CHECK(text("COMPRESSION", "IMAGE_STRUCTURE") == "DEFLATE");
    CHECK(text("UNITS", nullptr) == "percentage points");
    CHECK(text("AREA_OR_POINT", nullptr) == "Area");
    GDALRasterBandH band = GDALGetRasterBand(file.get(), 1);
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
    const WrittenSurface surface{
        Grid{north_up, 1100, 700},
        {{0, 0, field(0, 0)}, {1, 1, Values(block_side * block_side, no_value)}}};
    GDALRasterBandH band = surface.band;
    CHECK(GDALGetMetadataItem(band, "BLOCK_OFFSET_0_0", "TIFF") != nullptr);
    CHECK(GDALGetMetadataItem(band, "BLOCK_OFFSET_1_0", "TIFF") == nullptr);
    CHECK(GDALGetMetadataItem(band, "BLOCK_OFFSET_1_1", "TIFF") == nullptr);
    CHECK(std::isnan(read(band, 600, 600, 1, 1)[0]));
}

TEST_CASE("statistics are of the valid cells inside the raster")
{
    // 600 x 1 cells: 512 of value 1 and 88 of value 3; beyond the edge the caller left rubbish.
    const WrittenSurface surface{Grid{north_up, 600, 1},
                                 {{0, 0, Values(block_side * block_side, 1.0F)},
                                  {1, 0, Values(block_side * block_side, 3.0F)}}};
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
    const WrittenSurface surface{Grid{north_up, 1024, 513},
                                 {{0, 0, Values(block_side * block_side, 8.0F)},
                                  {1, 0, Values(block_side * block_side, 2.0F)},
                                  {1, 1, Values(block_side * block_side, 4.0F)}}};
    GDALRasterBandH band = surface.band;
    REQUIRE(GDALGetOverviewCount(band) == 1); // 512 x 257
    GDALRasterBandH overview = GDALGetOverview(band, 0);
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
    const DatasetPtr file = open(spec.path);
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
    const ScratchFolder folder;
    const RasterOutSpec spec = surface_spec(folder / "one.tif");
    write_surface(spec, Grid{north_up, 1, 1}, {{0, 0, Values(block_side * block_side, 0.25F)}});
    const DatasetPtr file = open(spec.path);
    GDALRasterBandH band = GDALGetRasterBand(file.get(), 1);
    CHECK(GDALGetOverviewCount(band) == 0);
    CHECK(read(band, 0, 0, 1, 1)[0] == 0.25F);
}

TEST_CASE("a raster into which nothing was put is a COG of nodata")
{
    const ScratchFolder folder;
    const RasterOutSpec spec = surface_spec(folder / "empty.tif");
    write_surface(spec, Grid{north_up, 1100, 700}, {});
    const DatasetPtr file = open(spec.path);
    REQUIRE(file);
    CHECK(std::isnan(read(GDALGetRasterBand(file.get(), 1), 1099, 699, 1, 1)[0]));
}

TEST_CASE("rotated and mirrored grids keep their place")
{
    const std::array<double, 6> places[] = {{500'000, 1.2, 1.6, 5'250'000, 1.6, -1.2},
                                            {500'000, 2, 0, 5'250'000, 0, 2}};
    for (const std::array<double, 6>& wanted : places) {
        CAPTURE(wanted[2]);
        const ScratchFolder folder;
        const RasterOutSpec spec = surface_spec(folder / "turned.tif");
        write_surface(spec, Grid{wanted, 600, 600}, {{0, 0, field(0, 0)}});
        std::array<double, 6> place{};
        const DatasetPtr file = open(spec.path);
        CHECK(GDALGetGeoTransform(file.get(), place.data()) == CE_None);
        for (std::size_t k = 0; k < 6; ++k)
            CHECK(place[k] == doctest::Approx(wanted[k]).epsilon(1e-15));
    }
}

TEST_CASE("BigTIFF reads the same")
{
    const ScratchFolder folder;
    const Grid grid{north_up, 1100, 700};
    RasterOutSpec spec = surface_spec(folder / "big.tif");
    spec.always_big = true;
    const Values values = field(1, 0);
    write_surface(spec, grid, {{1, 0, values}});
    CHECK(bytes_of(spec.path).substr(0, 4) == std::string("II+\0", 4));
    const DatasetPtr file = open(spec.path);
    REQUIRE(file);
    const Values back =
        read(GDALGetRasterBand(file.get(), 1), block_side, 0, block_side, block_side);
    CHECK(std::ranges::equal(back, values, same));
}
