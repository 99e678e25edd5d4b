// SPDX-License-Identifier: Apache-2.0

// priority.tif and fuel_used.tif as the manual promises them.
#include "io/gdal/handles.hpp"
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

using namespace fuelring;
using namespace fuelring::test;

namespace {

DatasetPtr open(const fs::path& file)
{
    GDALAllRegister();
    DatasetPtr data{GDALOpen(file.c_str(), GA_ReadOnly)};
    REQUIRE(data);
    return data;
}

std::string item(GDALMajorObjectH object, const char* name, const char* domain = nullptr)
{
    const char* const text = GDALGetMetadataItem(object, name, domain);
    return text ? text : "";
}

void check_layout(GDALDatasetH data, GDALDataType type)
{
    CHECK(item(data, "LAYOUT", "IMAGE_STRUCTURE") == "COG");
    for (int k = 1; k <= GDALGetRasterCount(data); ++k) {
        CAPTURE(k);
        GDALRasterBandH band = GDALGetRasterBand(data, k);
        CHECK(GDALGetRasterDataType(band) == type);
        int width = 0;
        int height = 0;
        GDALGetBlockSize(band, &width, &height);
        CHECK(width == 512);
        CHECK(height == 512);
        REQUIRE(GDALGetOverviewCount(band) > 0);
        // Down to one block: the coarsest overview of a COG fits in it.
        GDALRasterBandH last = GDALGetOverview(band, GDALGetOverviewCount(band) - 1);
        CHECK(std::max(GDALGetRasterBandXSize(last), GDALGetRasterBandYSize(last)) <= 512);
        for (const char* name :
             {"STATISTICS_MINIMUM", "STATISTICS_MAXIMUM", "STATISTICS_MEAN", "STATISTICS_STDDEV"})
            CHECK_FALSE(item(band, name).empty());
    }
}

void check_same_place(GDALDatasetH a, GDALDatasetH b)
{
    CHECK(GDALGetRasterXSize(a) == GDALGetRasterXSize(b));
    CHECK(GDALGetRasterYSize(a) == GDALGetRasterYSize(b));
    std::array<double, 6> at{};
    std::array<double, 6> bt{};
    GDALGetGeoTransform(a, at.data());
    GDALGetGeoTransform(b, bt.data());
    CHECK(at == bt);
    CHECK(OSRIsSame(GDALGetSpatialRef(a), GDALGetSpatialRef(b)));
}

/// How a cell of the hamlet lies to its houses.
struct Lie {
    double gap_m = 1e300;        ///< from the nearest wall to the cell
    bool ring_reaches = false;   ///< not only roofs cover it
    bool near_the_limit = false; ///< too close to 100 m to say
};

Lie lie_of(std::int64_t row, std::int64_t col)
{
    const double x0 = hamlet_transform[0] + static_cast<double>(col);
    const double y0 = hamlet_transform[3] - static_cast<double>(row) - 1;
    Lie lie;
    for (const House& h : hamlet_houses) {
        const double dx = std::max({h.x0 - (x0 + 1), x0 - h.x1, 0.0});
        const double dy = std::max({h.y0 - (y0 + 1), y0 - h.y1, 0.0});
        const double gap = std::hypot(dx, dy);
        const bool roof = x0 >= h.x0 && x0 + 1 <= h.x1 && y0 >= h.y0 && y0 + 1 <= h.y1;
        lie.gap_m = std::min(lie.gap_m, gap);
        lie.ring_reaches |= gap < 100 && !roof;
        lie.near_the_limit |= std::abs(gap - 100) < 0.01;
    }
    return lie;
}

/// Conifer share of a column in ten-thousandths and its group's number; the gap has no share.
struct Fuel {
    int share, group;
};
Fuel fuel_of(std::int64_t col)
{
    return col < hamlet_mixed_col   ? Fuel{10000, 1}
           : col < hamlet_grass_col ? Fuel{5000, 2}
           : col < hamlet_gap_col   ? Fuel{0, 4}
                                    : Fuel{65535, 9};
}

} // namespace

TEST_CASE("both rasters are cloud optimized and lie where the fuel raster lies")
{
    const TempFolder folder;
    sample_config(sample_data()).write(folder.path() / "run.toml");
    REQUIRE(run_fuelring({"map", folder.path() / "run.toml"}).exit_code == 0);
    const DatasetPtr fuel = open(sample_data() / "fuel.tif");
    const DatasetPtr priority = open(folder.path() / "out" / "priority.tif");
    const DatasetPtr fuel_used = open(folder.path() / "out" / "fuel_used.tif");
    check_layout(priority.get(), GDT_Float32);
    check_layout(fuel_used.get(), GDT_UInt16);
    check_same_place(priority.get(), fuel.get());
    check_same_place(fuel_used.get(), fuel.get());
    REQUIRE(GDALGetRasterCount(priority.get()) == 1);
    REQUIRE(GDALGetRasterCount(fuel_used.get()) == 2);
    int has_nodata = 0;
    GDALRasterBandH band = GDALGetRasterBand(priority.get(), 1);
    CHECK(std::isnan(GDALGetRasterNoDataValue(band, &has_nodata)));
    CHECK(has_nodata);
    CHECK(GDALGetRasterNoDataValue(GDALGetRasterBand(fuel_used.get(), 1), nullptr) == 65535);
}

TEST_CASE("statistics of the surface are those of its cells")
{
    const TempFolder folder;
    sample_config(sample_data()).write(folder.path() / "run.toml");
    REQUIRE(run_fuelring({"map", folder.path() / "run.toml"}).exit_code == 0);
    const fs::path file = folder.path() / "out" / "priority.tif";
    const Band cells = read_band(file);
    const auto known = std::count_if(cells.cells.begin(), cells.cells.end(),
                                     [](float cell) { return !std::isnan(cell); });
    const float largest =
        *std::max_element(cells.cells.begin(), cells.cells.end(),
                          [](float a, float b) { return a < b || std::isnan(a); });
    const DatasetPtr data = open(file);
    GDALRasterBandH band = GDALGetRasterBand(data.get(), 1);
    CHECK(std::stod(item(band, "STATISTICS_MINIMUM")) == 0);
    CHECK(std::stof(item(band, "STATISTICS_MAXIMUM")) == largest);
    // Both are sums of the same doubles, perhaps in another order.
    const double mean = cells.sum() / static_cast<double>(known);
    CHECK(std::abs(std::stod(item(band, "STATISTICS_MEAN")) - mean) < 1e-9 * mean);
}

TEST_CASE(
    "the surface is above 0 on conifers in reach, 0 on other ground, NaN where nothing is said")
{
    Hamlet hamlet;
    REQUIRE(hamlet.run("map").exit_code == 0);
    const Band priority = read_band(hamlet.out() / "priority.tif");
    REQUIRE(priority.cols == hamlet_cells);
    REQUIRE(priority.rows == hamlet_cells);
    std::array<int, 4> counts{}; // out of reach, unmapped, without conifer, with
    int wrong = 0;
    for (std::int64_t row = 0; row < hamlet_cells; ++row)
        for (std::int64_t col = 0; col < hamlet_cells; ++col) {
            const Lie lie = lie_of(row, col);
            const Fuel fuel = fuel_of(col);
            if (lie.near_the_limit)
                continue;
            const float value = priority.at(row, col);
            const std::size_t kind = !lie.ring_reaches ? 0
                                     : fuel.group == 9 ? 1
                                     : fuel.share      ? 3
                                                       : 2;
            ++counts[kind];
            wrong += (kind < 2 ? std::isnan(value) : kind == 2 ? value == 0 : value > 0) ? 0 : 1;
        }
    CHECK(wrong == 0);
    for (const int count : counts)
        CHECK(count > 500);
}

TEST_CASE("fuel_used.tif holds share and group within reach of the widest ring, roofs too")
{
    Hamlet hamlet;
    REQUIRE(hamlet.run("map").exit_code == 0);
    const Band share = read_band(hamlet.out() / "fuel_used.tif", 1);
    const Band group = read_band(hamlet.out() / "fuel_used.tif", 2);
    int wrong = 0;
    int reached = 0;
    for (std::int64_t row = 0; row < hamlet_cells; ++row)
        for (std::int64_t col = 0; col < hamlet_cells; ++col) {
            const Lie lie = lie_of(row, col);
            if (lie.near_the_limit)
                continue;
            const bool in_reach = lie.gap_m < 100;
            const Fuel expected = in_reach ? fuel_of(col) : Fuel{65535, 65535};
            reached += in_reach ? 1 : 0;
            wrong += share.at(row, col) == static_cast<float>(expected.share) &&
                             group.at(row, col) == static_cast<float>(expected.group)
                         ? 0
                         : 1;
        }
    CHECK(wrong == 0);
    CHECK(reached > 20'000);
}
