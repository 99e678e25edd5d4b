// SPDX-License-Identifier: Apache-2.0

// What the elevation raster adds to a run: slopes in the tables, and words where there are none.
#include "end_to_end/terrain_runs.hpp"

using namespace fuelring::test;
using doctest::Approx;
using nlohmann::json;

namespace {

/// The warning of that key in run.json, null where there is none.
json warning(const Hamlet& hamlet, const std::string& key)
{
    const json run = manifest(hamlet);
    for (const json& one : run.at("warnings"))
        if (one.at("key") == key)
            return one;
    return {};
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
    CHECK(run.said("1 structure is near heights below -1000 or above 10000 m"));
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
