// SPDX-License-Identifier: Apache-2.0

// Polygons burnt into cells: closed forms, areas that GEOS shares out, and the stated rules for
// ties, overlaps and ground that nothing covers.
#include "geometry/geos.hpp"
#include "io/fuel_layer/fuel_burner.hpp"
#include "io/gdal/setup.hpp"
#include "io/raster/fuel_raster.hpp"
#include "unit/io/scratch_folder.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cmath>
#include <random>

using namespace fuelring;

namespace {

constexpr double east = 500'000, north = 5'600'000; // multiples of 8

/// One polygon with its value as the file has it; loops in metres from a corner of the grid.
struct Stand {
    std::string value;
    std::vector<Loop> loops;
};

std::vector<Loop> box(double left, double bottom, double right, double top)
{
    return {{{left, bottom}, {right, bottom}, {right, top}, {left, top}}};
}

/// A file of the stands, and cells of 8 m.
class Stands {
public:
    explicit Stands(const std::vector<Stand>& stands, const std::string& crs = "EPSG::32611")
    {
        set_up_gdal();
        std::string text = fmt::format(R"({{"type":"FeatureCollection","crs":{{"type":"name",)"
                                       R"("properties":{{"name":"urn:ogc:def:crs:{}"}}}},)"
                                       R"("features":[)",
                                       crs);
        for (std::size_t k = 0; k < stands.size(); ++k)
            text += (k > 0 ? "," : "") + feature(stands[k]);
        std::ofstream{folder_ / "stands.geojson"} << text << "]}";
        source.path = (folder_ / "stands.geojson").string();
        source.column = "fuel";
        source.cell_m = 8;
    }

    FuelSource source;

private:
    static std::string feature(const Stand& stand)
    {
        std::string loops;
        for (const Loop& loop : stand.loops) {
            std::string points;
            for (std::size_t k = 0; k <= loop.size(); ++k)
                points +=
                    fmt::format("{}[{:.10f},{:.10f}]", k > 0 ? "," : "",
                                east + loop[k % loop.size()].x, north + loop[k % loop.size()].y);
            loops += (loops.empty() ? "[" : ",[") + points + "]";
        }
        return fmt::format(R"({{"type":"Feature","properties":{{"fuel":{}}},"geometry":)"
                           R"({{"type":"Polygon","coordinates":[{}]}}}})",
                           stand.value, loops);
    }

    ScratchFolder folder_;
};

std::vector<std::int64_t> burnt(const FuelLayer& layer, const CellRect& rect)
{
    std::vector<std::int64_t> values(static_cast<std::size_t>(rect.cols * rect.rows));
    FuelBurner{layer}.burn(rect, values);
    return values;
}

std::vector<std::int64_t> burnt(const Stands& stands)
{
    const FuelLayer layer{stands.source, {}};
    return burnt(layer, layer.grid().extent());
}

using Values = std::vector<std::int64_t>;
constexpr std::int64_t none = no_fuel_value;

/// A star whose vertices lie on the lattice of 1/1024 m.
Loop star(std::mt19937& random, Point middle, double radius)
{
    std::uniform_real_distribution<double> part{0.3, 1};
    Loop loop;
    for (int k = 0; k < 9; ++k) {
        const double r = radius * part(random);
        const double angle = 2 * std::acos(-1) * k / 9;
        const auto snapped = [](double v) { return std::round(v * 1024) / 1024; };
        loop.push_back(
            {snapped(middle.x + r * std::cos(angle)), snapped(middle.y + r * std::sin(angle))});
    }
    return loop;
}

} // namespace

TEST_CASE("a cell has the code that covers most of it, and of equal parts the smallest")
{
    // Two cells beside each other: five eighths of the left one are 7, half of the right one.
    const Stands stands{{{"9", box(5, 0, 8, 8)},
                         {"7", box(0, 0, 5, 8)},
                         {"9", box(8, 0, 12, 8)},
                         {"7", box(12, 0, 16, 8)}}};
    CHECK((burnt(stands) == Values{7, 7}));
}

TEST_CASE("a cell of which less than half is covered is unmapped")
{
    // The third cell is covered by half, in two parts; the polygon of the fourth has no code.
    const Stands stands{{{"7", box(0, 0, 3.9, 8)},
                         {"7", box(8, 0, 12.1, 8)},
                         {"7", box(16, 0, 18, 8)},
                         {"9", box(20, 0, 22, 8)},
                         {"null", box(24, 0, 32, 8)},
                         {"9", box(32, 0, 40, 8)}}};
    CHECK((burnt(stands) == Values{none, 7, 7, none, 9}));
    const FuelLayer layer{stands.source, {}};
    REQUIRE(layer.warnings().size() == 1);
    CHECK(layer.warnings()[0].key == "fuel_polygons_without_value");
}

TEST_CASE("ground that two polygons claim belongs to the first of the file")
{
    const Stands stands{{{"9", box(0, 0, 16, 8)}, {"7", box(8, 0, 24, 8)}}};
    CHECK((burnt(stands) == Values{9, 9, 7}));
    const FuelLayer layer{stands.source, {}};
    REQUIRE(layer.warnings().size() == 1);
    CHECK(layer.warnings()[0].key == "fuel_polygons_overlap");
}

TEST_CASE("a cell has the mean of shares, weighted by area")
{
    // 3 m of 40 per cent and 5 m of 90: 71.25. Then half of a cell, which counts alone.
    Stands stands{{{"40", box(0, 0, 3, 8)}, {"90", box(3, 0, 8, 8)}, {"12.5", box(8, 0, 12, 8)}}};
    stands.source.values = FuelValues::percent;
    CHECK((burnt(stands) == Values{7125, 1250}));
    stands.source.values = FuelValues::fraction;
    CHECK_THROWS_WITH_AS(burnt(stands), doctest::Contains("is no share"), Error);
    stands.source.unknown_codes_are_unmapped = true;
    CHECK_THROWS_WITH_AS(burnt(stands), doctest::Contains("with a value in column fuel"), Error);
}

TEST_CASE("covers of cells are the areas that GEOS finds")
{
    std::mt19937 random{20261129};
    double worst = 0;
    for (int round = 0; round < 20; ++round) {
        const Loop shape = star(random, {60, 70}, 45);
        Loop hole{shape.rbegin(), shape.rend()};
        Stands stands{{{"1", {shape}}, {"0", {box(0, 0, 120, 136)[0], hole}}}};
        stands.source.values = FuelValues::fraction;
        const FuelLayer layer{stands.source, {}};
        REQUIRE(layer.grid().cols() == 15);
        const Values values = burnt(layer, layer.grid().extent());
        const GeosGeometry polygon = geos_polygon({{shape}});
        std::size_t k = 0;
        for (int row = 0; row < 17; ++row)
            for (int col = 0; col < 15; ++col, ++k) {
                const double left = 8.0 * col, top = 136 - 8.0 * row;
                const GeosGeometry cell = geos_polygon({{box(left, top - 8, left + 8, top)[0]}});
                const double area = area_of(in_both(polygon, cell).get());
                worst = std::max(worst, std::abs(static_cast<double>(values[k]) - 1e4 * area / 64));
            }
    }
    CHECK(worst <= 0.5 + 1e-6); // that of rounding to ten-thousandths
}

TEST_CASE("what a cell holds does not depend on the window")
{
    std::mt19937 random{7};
    std::vector<Stand> list;
    std::uniform_real_distribution<double> place{40, 960};
    for (int k = 0; k < 200; ++k)
        list.push_back({std::to_string(k % 7), {star(random, {place(random), place(random)}, 70)}});
    for (const FuelValues kind : {FuelValues::classes, FuelValues::percent}) {
        Stands stands{list};
        stands.source.values = kind;
        const FuelLayer layer{stands.source, {}};
        const CellRect all = layer.grid().extent();
        const Values whole = burnt(layer, all);
        for (const std::int64_t size : {1, 7, 64}) {
            std::size_t differ = 0;
            for (std::int64_t row = -1; row < all.rows; row += size)
                for (std::int64_t col = -1; col < all.cols; col += size) {
                    const CellRect rect{col, row, size, size};
                    const Values part = burnt(layer, rect);
                    for (std::int64_t k = 0; k < size * size; ++k) {
                        const CellRect cell{col + k % size, row + k / size, 1, 1};
                        const bool inside = intersection(cell, all) == cell;
                        const auto at = static_cast<std::size_t>(cell.row * all.cols + cell.col);
                        if (part[static_cast<std::size_t>(k)] != (inside ? whole[at] : none))
                            ++differ;
                    }
                }
            CHECK(differ == 0);
        }
    }
}

TEST_CASE("cells lie on whole multiples of their side, also where polygons are in degrees")
{
    const FuelLayer layer{Stands{{{"1", box(3, 5, 90, 70)}}}.source, {}};
    CHECK(layer.grid().geotransform()[0] == east);
    CHECK(layer.grid().geotransform()[3] == north + 72);
    CHECK(layer.plan().rule == GroundRule::grid_stands);

    ScratchFolder folder;
    std::ofstream{folder / "degrees.geojson"}
        << R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":{"fuel":41},)"
           R"("geometry":{"type":"Polygon","coordinates":[[[-117.01,50.5],[-117,50.5],)"
           R"([-117,50.51],[-117.01,50.51],[-117.01,50.5]]]}}]})";
    FuelSource source;
    source.path = (folder / "degrees.geojson").string();
    source.column = "fuel";
    source.cell_m = 10;
    const FuelLayer degrees{source, {}};
    CHECK(degrees.plan().rule == GroundRule::grid_stands);
    CHECK(degrees.grid().cell_width_m() == doctest::Approx(10));
    // 0.01 degrees of latitude and longitude at 50.5 degrees: 1112 x 710 m (GRS 80, to a per cent)
    std::int64_t mapped = 0;
    for (const std::int64_t value : burnt(degrees, degrees.grid().extent()))
        mapped += value == 41 ? 1 : 0;
    CHECK(std::abs(static_cast<double>(mapped) - 111.2 * 71.0) < 0.01 * 111.2 * 71.0);
}

TEST_CASE("polygons that stand for a raster become classes of the table, and are refused by name")
{
    const FuelClassTable classes{{{7, "pine", FuelGroup::conifer, 10'000, "test"}}};
    const Stands stands{{{"7", box(0, 0, 8, 8)}, {"9", box(8, 0, 16, 8)}}};
    const FuelRaster raster{stands.source, classes};
    FuelRaster::Reader reader{raster};
    std::vector<ClassIndex> cells(3);
    reader.read({0, 0, 3, 1}, cells);
    CHECK((cells == std::vector<ClassIndex>{1, 0, 0}));
    CHECK(raster.met_unknown_codes());
    CodeCensus census;
    reader.count({0, 0, 3, 1}, census);
    CHECK((census.cells_of_code == std::map<std::int64_t, std::int64_t>{{7, 1}, {9, 1}}));

    const Stands words{{{"\"pine\"", box(0, 0, 8, 8)}}};
    CHECK_THROWS_WITH_AS(FuelLayer(words.source, {}), doctest::Contains("is no class code"), Error);
    Stands other{{{"7", box(0, 0, 8, 8)}}};
    other.source.column = "code";
    CHECK_THROWS_WITH_AS(FuelLayer(other.source, {}), doctest::Contains("code"), Error);
}
