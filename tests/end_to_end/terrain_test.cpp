// SPDX-License-Identifier: Apache-2.0

// What the elevation raster adds to a run: slopes in the tables, and words where there are none.
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <numbers>

using namespace fuelring::test;
using doctest::Approx;
using nlohmann::json;

namespace {

constexpr double degree = std::numbers::pi / 180;
constexpr std::array<double, 6> two_metre_cells{599900, 2, 0, 5600400, 0, -2};

/// A plane over the hamlet that falls by `percent` towards `aspect_deg`, and a little above 0.
auto plane(double percent, double aspect_deg)
{
    return [=](double x, double y) {
        return 900 - percent / 100 *
                         ((x - 600150) * std::sin(aspect_deg * degree) +
                          (y - 5600150) * std::cos(aspect_deg * degree));
    };
}

/// Runs `map` with these heights.
ProgramResult map_on_ground(Hamlet& hamlet, const ElevationFile& elevation)
{
    const fs::path file = hamlet.folder() / "heights.tif";
    fs::remove(file);
    make_elevation(file, elevation);
    hamlet.config("inputs.elevation", "path") = toml_text(file);
    ProgramResult run = hamlet.run("map", {"--verbose"});
    CAPTURE(run.err);
    REQUIRE(run.exit_code == 0);
    return run;
}

json manifest(const Hamlet& hamlet)
{
    return json::parse(text_of(hamlet.out() / "run.json"));
}

/// The warning of that key in run.json, null where there is none.
json warning(const Hamlet& hamlet, const std::string& key)
{
    const json run = manifest(hamlet);
    for (const json& one : run.at("warnings"))
        if (one.at("key") == key)
            return one;
    return {};
}

SqlCell value(const Hamlet& hamlet, const std::string& column, const std::string& id)
{
    return sql(hamlet.out() / "fuelring.gpkg",
               fmt::format("SELECT {} FROM structures WHERE structure_id = '{}'", column, id))
        .at(0)
        .at(0);
}

} // namespace

TEST_CASE("a plane has its slope and aspect on any grid, from heights in any CRS")
{
    struct Case {
        std::string_view why;
        std::array<double, 6> fuel;
        ElevationFile heights;
        double epsilon;
    };
    const std::array<double, 6> turned{600000, 0.8, 0.6, 5600150, 0.6, -0.8};
    const std::array<double, 6> south_up{600000, 1, 0, 5600000, 0, 1};
    // Cells are placed as if the map from one CRS to the other were straight: over 45 m that is
    // good to 45^2 x tan(51 degrees) / (2 x 6.37e6 m) = 0.2 mm, so slopes to 0.2 mm / 45 m = 4e-6.
    const Case cases[] = {
        {"same grid", hamlet_transform, {250, 250, two_metre_cells, 32611, {}}, 1e-10},
        {"turned fuel raster", turned, {250, 250, two_metre_cells, 32611, {}}, 1e-10},
        {"south-up fuel raster", south_up, {250, 250, two_metre_cells, 32611, {}}, 1e-10},
        {"turned heights",
         hamlet_transform,
         {400, 400, {599850, 1.2, 0.9, 5600150, 0.9, -1.2}, 32611, {}},
         1e-10},
        {"degrees", turned, {200, 200, {-115.591, 4e-5, 0, 50.5485, 0, -2.5e-5}, 4326, {}}, 4e-6},
        {"the next zone",
         hamlet_transform,
         {300, 300, {174800, 2, 0, 5609550, 0, -2}, 32612, {}},
         4e-6},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        Hamlet hamlet;
        make_fuel(hamlet.folder() / "fuel.tif",
                  {hamlet_cells, hamlet_cells, c.fuel, 32611,
                   [](std::int64_t, std::int64_t) { return int{grass}; }});
        for (const double aspect_deg : {33.0, 200.0, 305.0}) {
            ElevationFile heights = c.heights;
            heights.height_at = plane(30, aspect_deg);
            const ProgramResult run = map_on_ground(hamlet, heights);
            CAPTURE(run.err);
            for (const char* id : {"A-1", "A-3"}) {
                CAPTURE(id);
                REQUIRE(value(hamlet, "slope_pct", id).number);
                CHECK(*value(hamlet, "slope_pct", id).number == Approx(30).epsilon(c.epsilon));
                CHECK(*value(hamlet, "aspect_deg", id).number ==
                      Approx(aspect_deg).epsilon(c.epsilon));
                CHECK(*value(hamlet, "slope_residual_m", id).number < 1e-3);
                CHECK(value(hamlet, "slope_break_distance_m", id).is_null());
            }
            CHECK(run.said(heights.epsg == 32611 ? "the same as the raster's"
                                                 : "cells are looked up where they stand in"));
        }
    }
}

TEST_CASE("columns of slopes come after flags, and only with an elevation raster")
{
    Hamlet hamlet;
    REQUIRE(hamlet.run("map").exit_code == 0);
    const Csv without = read_csv(hamlet.out() / "addresses.csv");
    CHECK(without.header.back() == "flags");
    CHECK_FALSE(manifest(hamlet).contains("elevation"));
    map_on_ground(hamlet, {250, 250, two_metre_cells, 32611, plane(30, 90)});
    const Csv with = read_csv(hamlet.out() / "addresses.csv");
    CHECK((std::vector<std::string>{with.header.begin(),
                                    with.header.begin() +
                                        static_cast<std::ptrdiff_t>(without.header.size())} ==
           without.header));
    const std::size_t row = with.cell(0, "structure_id") == "A-5" ? 1 : 0;
    CHECK(with.cell(row, "slope_pct") == "30.000");
    CHECK(with.cell(row, "aspect_deg") == "90.000");
    CHECK(with.cell(row, "slope_residual_m") == "0.000");
    CHECK(with.cell(row, "slope_break_distance_m").empty());
    CHECK(manifest(hamlet).at("inputs").at("inputs.elevation.path").at("sha256").is_string());
    CHECK(manifest(hamlet).at("elevation").at("within_m") == 30);
}

TEST_CASE("structures without a slope are flagged, counted and named by both commands")
{
    Hamlet hamlet;
    // A-5 stands off the heights; under A-4 and around it they are not known.
    map_on_ground(hamlet, {250, 250, two_metre_cells, 32611, [](double x, double y) {
                               return std::hypot(x - 600185, y - 5600155) < 45 ? std::nan("")
                                                                               : plane(12, 0)(x, y);
                           }});
    for (const char* command : {"check", "map"}) {
        fs::remove(hamlet.folder() / ".out.state"); // else nothing changed, and slopes are not said
        const ProgramResult run = hamlet.run(command, {"--verbose"});
        CHECK(run.exit_code == 0);
        CHECK(
            run.said("1 structure has no slope and round rings: the elevation raster has no cells "
                     "within 30 m of them: A-5\n"));
        CHECK(run.said(
            "1 structure has no slope and round rings: fewer than 6 cells with heights, or "
            "all of them in one line, within 30 m: A-4\n"));
        CHECK(run.said("slope found for 3 of 5 structures"));
    }
    CHECK(warning(hamlet, "off_elevation").at("count") == 1);
    CHECK(warning(hamlet, "no_slope").at("count") == 1);
    CHECK(manifest(hamlet).at("elevation").at("structures_without_slope") == 2);
    CHECK(manifest(hamlet).at("counts").at("flags").at("no_slope") == 2);
    CHECK(value(hamlet, "slope_pct", "A-4").is_null());
    CHECK(value(hamlet, "slope_pct", "A-5").is_null());
    CHECK(value(hamlet, "flags", "A-4").text->ends_with("no_slope"));
    CHECK(*value(hamlet, "slope_pct", "A-1").number == Approx(12).epsilon(1e-10));
}

TEST_CASE("feet are converted and said, a unit that is not named is taken as metres and said")
{
    struct Case {
        std::string unit, configured;
        double metres;
        std::string_view says;
    };
    const Case cases[] = {
        {"metre", "", 1, "heights in metres (by the file)"},
        {"ft", "", 0.3048, "heights in feet (by the file)"},
        {"US survey foot", "", 1200.0 / 3937, "heights in US survey feet (by the file)"},
        {"", "", 1, "warning: heights in metres (assumed: the file names no unit)"},
        {"ell", "", 1, "warning: heights in metres (assumed: the file's unit 'ell' is not known)"},
        {"", "'ft'", 0.3048, "heights in feet (by the configuration)"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.says);
        Hamlet hamlet;
        if (!c.configured.empty())
            hamlet.config("inputs.elevation", "unit") = c.configured;
        const ProgramResult run =
            map_on_ground(hamlet, {250, 250, two_metre_cells, 32611, plane(30, 90), 32611, c.unit});
        CHECK(run.said(c.says));
        CHECK(*value(hamlet, "slope_pct", "A-1").number == Approx(30 * c.metres).epsilon(1e-10));
    }
}

TEST_CASE("flat ground has a slope of 0 and no aspect; cliffs and lost nodata are warned of")
{
    Hamlet hamlet;
    map_on_ground(hamlet, {250, 250, two_metre_cells, 32611, [](double, double) { return 500.0; }});
    CHECK(*value(hamlet, "slope_pct", "A-1").number == 0);
    CHECK(value(hamlet, "aspect_deg", "A-1").is_null());
    CHECK(value(hamlet, "slope_break_distance_m", "A-1").is_null());
    CHECK(manifest(hamlet).at("elevation").at("structures_on_flat_ground") == 4);
    CHECK(warning(hamlet, "uneven_ground").is_null());

    // 25 m down between, and a corner that holds an undeclared -9999.
    const ProgramResult run = map_on_ground(
        hamlet, {250, 250, two_metre_cells, 32611, [](double x, double y) {
                     return x > 600210 || y < 5600100 ? -9999.0 : (x < 600123 ? 525.0 : 500.0);
                 }});
    CHECK(run.said("differ from it by more than 3 m (slope_residual_m): A-1, A-2\n"));
    CHECK(warning(hamlet, "uneven_ground").at("count") == 2);
    CHECK(run.said("1 structure stands near heights below -1000 or above 10000 m"));
    CHECK(warning(hamlet, "impossible_heights").at("examples").back() == "A-4");
    CHECK(*value(hamlet, "aspect_deg", "A-1").number == Approx(90).epsilon(0.05));
}

TEST_CASE("the break of the slope is where the ground above the house levels out")
{
    Hamlet hamlet;
    // Falls to the east; level west of x = 600064.25, 40 m from the wall of A-1.
    map_on_ground(hamlet, {500, 500, {599800, 1, 0, 5600400, 0, -1}, 32611, [](double x, double) {
                               return 500 - 0.25 * std::max(x - 600000, 64.25);
                           }});
    CHECK(*value(hamlet, "slope_break_distance_m", "A-1").number == Approx(40).epsilon(1.0 / 40));
}

TEST_CASE("rings end where the table of factors puts them, labels stay those of level ground")
{
    struct Case {
        double slope_deg, aspect_deg;
        std::string factors;
        std::array<double, 3> rings_m2;
        double down, across;
    };
    // A square of 10 m: area + sum of the body's support over four walls + pi across (down +
    // 1) r^2 / 2, by 30-digit arithmetic; the innermost ring stays round: 4 x 10 x 1.5 + pi 1.5^2.
    const std::string sides = "[{slope_deg = 5}, {slope_deg = 20, down = 2, across = 1.5}]";
    const Case cases[] = {
        {25, 0, "", {1032.710130908, 5498.229715026, 53879.863008417}, 2.5, 1},
        {40, 45, "", {1063.498786201, 5559.807025612, 54095.383595470}, 2.5, 1},
        {20, 90, "", {904.170314568, 4769.911184308, 46382.739721501}, 2, 1},
        {20, 135, sides, {1248.294129860, 6871.875509007, 68583.640146161}, 2, 1.5},
        {9.9, 200, "", {647.090681888, 3313.274122872, 31388.493147667}, 1, 1},
        {30, 45, "[]", {647.090681888, 3313.274122872, 31388.493147667}, 1, 1},
    };
    for (const Case& c : cases) {
        CAPTURE(c.slope_deg);
        CAPTURE(c.aspect_deg);
        Hamlet hamlet;
        if (!c.factors.empty())
            hamlet.config("terrain", "factors") = c.factors;
        map_on_ground(hamlet, {250, 250, two_metre_cells, 32611,
                               plane(100 * std::tan(c.slope_deg * degree), c.aspect_deg)});
        // The slope is good to 1e-10 of itself, and areas grow no faster than the square of it.
        const auto ring = [&](const char* label) {
            return *value(hamlet, fmt::format("\"ring_m2_{}\"", label), "A-4").number;
        };
        CHECK(ring("0_1.5m") == Approx(67.068583471).epsilon(1e-9));
        CHECK(ring("1.5_10m") == Approx(c.rings_m2[0]).epsilon(1e-9));
        CHECK(ring("10_30m") == Approx(c.rings_m2[1]).epsilon(1e-9));
        CHECK(ring("30_100m") == Approx(c.rings_m2[2]).epsilon(1e-9));
        CHECK(*value(hamlet, "ring_down_factor", "A-4").number == Approx(c.down).epsilon(1e-9));
        CHECK(*value(hamlet, "ring_across_factor", "A-4").number == Approx(c.across).epsilon(1e-9));
        CHECK(*value(hamlet, "ring_down_factor", "A-5").number == 1); // off the heights
        CHECK(manifest(hamlet).at("elevation").at("structures_with_stretched_rings") ==
              (c.down > 1 ? 4 : 0));
    }
}

TEST_CASE("ring outlines are a layer of the GeoPackage where the configuration asks for them")
{
    Hamlet hamlet;
    const ElevationFile slope{250, 250, two_metre_cells, 32611, plane(40, 60)};
    map_on_ground(hamlet, slope);
    const std::string layers = "SELECT count(*) FROM gpkg_contents WHERE table_name = "
                               "'ring_outlines'";
    CHECK(sql_number(hamlet.out() / "fuelring.gpkg", layers) == 0);
    hamlet.config("output", "ring_outlines") = "true";
    map_on_ground(hamlet, slope);
    CHECK(sql_number(hamlet.out() / "fuelring.gpkg", layers) == 1);
    const std::vector<SqlRow> rows =
        sql(hamlet.out() / "fuelring.gpkg",
            "SELECT ring, outer_m FROM ring_outlines WHERE structure_id = 'A-4' ORDER BY outer_m");
    REQUIRE(rows.size() == 4);
    CHECK(rows[0][0].text == "0_1.5m");
    CHECK(rows[3][0].text == "30_100m");
    CHECK(rows[3][1].number == 100);
    CHECK(manifest(hamlet).at("configuration").at("ring_outlines") == true);
}

TEST_CASE("the long side of a ring lies below the house on turned and mirrored grids")
{
    // Conifers 12 to 24 m below the south wall of A-3, and nowhere else: out of reach of 10 m
    // unless the ring is stretched to 25 m that way.
    const auto is_conifer = [](double x, double y) {
        return x > 600163 && x < 600168 && y > 5600126 && y < 5600138;
    };
    for (const std::array<double, 6>& grid :
         {hamlet_transform, std::array<double, 6>{600000, 0.8, 0.6, 5600150, 0.6, -0.8},
          std::array<double, 6>{600000, 1, 0, 5600000, 0, 1},
          std::array<double, 6>{600300, -1, 0, 5600300, 0, -1}}) {
        CAPTURE(grid[1]);
        CAPTURE(grid[5]);
        Hamlet hamlet;
        make_fuel(
            hamlet.folder() / "fuel.tif",
            {hamlet_cells, hamlet_cells, grid, 32611, [&](std::int64_t row, std::int64_t col) {
                 const double c = static_cast<double>(col) + 0.5;
                 const double r = static_cast<double>(row) + 0.5;
                 return is_conifer(grid[0] + grid[1] * c + grid[2] * r,
                                   grid[3] + grid[4] * c + grid[5] * r)
                            ? int{conifer}
                            : int{grass};
             }});
        const auto conifer_m2_when_falling = [&](double aspect_deg) {
            map_on_ground(hamlet, {250, 250, two_metre_cells, 32611,
                                   plane(100 * std::tan(25 * degree), aspect_deg)});
            return *value(hamlet, "\"conifer_m2_1.5_10m\"", "A-3").number;
        };
        CHECK(conifer_m2_when_falling(180) == Approx(60).epsilon(0.1)); // cells turned: the edge
        CHECK(conifer_m2_when_falling(0) == 0);
        CHECK(conifer_m2_when_falling(90) == 0);
        CHECK(conifer_m2_when_falling(270) == 0);
    }
}
