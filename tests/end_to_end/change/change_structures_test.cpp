// SPDX-License-Identifier: Apache-2.0

// Which structures `fuelring change` takes for the same ones, and what it does where runs differ.
#include "support/change_runs.hpp"

#include <cmath>

using namespace fuelring::test;

namespace {

int all_conifer(double, double)
{
    return conifer;
}
int all_grass(double, double)
{
    return grass;
}

std::string status_of(const fs::path& out, const std::string& id)
{
    const Csv csv = read_csv(out / "change_by_address.csv");
    for (std::size_t row = 0; row < csv.rows.size(); ++row)
        if (csv.cell(row, "structure_id") == id)
            return csv.cell(row, "status") + " " + csv.cell(row, "structure_id_before") + " " +
                   csv.cell(row, "direction");
    return "not there";
}

} // namespace

TEST_CASE("structures are matched by id and by ground, and the others are listed")
{
    const ChangeRuns runs;
    runs.map("before", {{square_house("kept", 0, 0), square_house("redrawn", 50, 0),
                         square_house("old id", 0, 60), square_house("gone", 60, 60),
                         square_house("moved", -60, -60)},
                        all_conifer});
    runs.map("after", {{square_house("kept", 0, 0), square_house("redrawn", 51, 0),
                        square_house("new id", 1, 60), square_house("built", -60, 60),
                        square_house("moved", 60, -60)},
                       all_grass});
    const fs::path out = runs.changed("before", "after", "out");
    CHECK(status_of(out, "kept") == "same kept fell");
    CHECK(status_of(out, "redrawn") == "redrawn redrawn fell");
    CHECK(status_of(out, "new id") == "renamed old id fell");
    CHECK(status_of(out, "gone") == "removed gone unknown");
    CHECK(status_of(out, "built") == "added  unknown");
    // An id that stands on other ground is another structure: once removed, once added.
    CHECK(sql_number(out / "change.gpkg", "select count(*) from change_structures where "
                                          "structure_id = 'moved'") == 2);
    CHECK(sql_number(out / "change.gpkg", "select count(*) from change_structures") == 7);
    CHECK(change_ha(out, "structures", "0_1.5m") == 3);
}

TEST_CASE("a house that was redrawn counts with both outlines, whichever run is the first")
{
    const ChangeRuns runs;
    runs.map("a", {{square_house("H", 0, 0)}, all_conifer});
    runs.map("b", {{square_house("H", 2, 0)}, all_grass});
    const fs::path forth = runs.changed("a", "b", "forth");
    const fs::path back = runs.changed("b", "a", "back");
    // Within 10 m of a rectangle of 14 x 12 m, less that rectangle: Steiner's formula.
    const double m2 = 2 * (14 + 12) * 10 + 100 * std::acos(-1.0);
    CHECK(std::abs(change_ha(forth, "removed_ha", "within_10m") * 1e4 - m2) <= 1e-9 * m2);
    CHECK(std::abs(change_ha(back, "regrown_ha", "within_10m") * 1e4 - m2) <= 1e-9 * m2);
}

TEST_CASE("runs with other rings are compared at the distances that both have")
{
    const ChangeRuns runs;
    const std::vector<Shape> house{square_house("H", 0, 0)};
    runs.map("usual", {house, all_conifer});
    runs.map("wider", {.structures = house,
                       .code_at = all_grass,
                       .rings = "[10, 30, 60]",
                       .weight = "[1, 1, 1]"});
    const ProgramResult run = runs.change("usual", "wider", "out");
    CHECK(run.exit_code == 0);
    CHECK(run.said("areas are compared at 10, 30 m, exposures are not compared"));
    const double m2 = 48 * 30 + 900 * std::acos(-1.0);
    CHECK(std::abs(change_ha(runs.path("out"), "removed_ha", "within_30m") * 1e4 - m2) <=
          1e-9 * m2);
    CHECK(sql_number(runs.path("out") / "change.gpkg", "select count(*) from change_areas") == 4);
    CHECK(sql_number(runs.path("out") / "change.gpkg",
                     "select count(exposure_change) + count(change_by_fuel) from "
                     "change_structures") == 0);
    CHECK(sql_number(runs.path("out") / "change.gpkg",
                     "select count(exposure_before) + count(exposure_after) from "
                     "change_structures") == 2);
}

TEST_CASE("on a national conformal grid hectares are those of the ground")
{
    // EPSG:3978 at 54 N: 0.967518 square units of the grid to a square metre of the ground (PROJ's
    // factors), so cells alone would understate the hectares by 3.2 per cent.
    constexpr double areal_scale = 0.967518;
    constexpr double north = 551455;
    const ChangeRuns runs;
    Scene scene;
    scene.structures = {{"H", rectangle_wkt(-6, north - 6, 6, north + 6)}};
    scene.code_at = all_conifer;
    scene.epsg = 3978;
    scene.origin_x = 0;
    scene.origin_y = north;
    runs.map("before", scene);
    scene.code_at = [](double x, double y) { // 20 x 30 cells
        return x > 20 && x < 40 && y > -10 && y < 20 ? grass : conifer;
    };
    runs.map("after", scene);
    const fs::path out = runs.changed("before", "after", "out");
    CHECK(change_ha(out, "removed_ha", "within_100m") * 1e4 ==
          doctest::Approx(600 / areal_scale).epsilon(1e-6));
    const double side_m = 12 / std::sqrt(areal_scale); // distances are the ground's, too
    CHECK(change_ha(out, "ground_ha", "within_30m") * 1e4 ==
          doctest::Approx(4 * side_m * 30 + 900 * std::acos(-1.0)).epsilon(1e-6));
}

TEST_CASE("classes of change stand in the raster, and numbers of threads change no byte")
{
    const ChangeRuns runs;
    const std::vector<Shape> houses{square_house("A", 0, 0), square_house("B", 40, 10),
                                    square_house("C", -30, 60)};
    const auto before = [](double x, double y) {
        return x < 0 ? conifer : y < -20 ? no_data : y < 0 ? mixed : grass;
    };
    const auto after = [](double x, double y) {
        return x < -20 ? grass : x < 0 ? conifer : y < 30 ? grass : conifer;
    };
    runs.map("before", {houses, before});
    runs.map("after", {houses, after});
    const fs::path one = runs.changed("before", "after", "one", {"--jobs", "1"});
    const fs::path four = runs.changed("before", "after", "four", {"--jobs", "4"});
    for (const char* name : {"change.csv", "change_by_address.csv", "change.tif"})
        CHECK(text_of(one / name) == text_of(four / name));
    CHECK(dump_of(one / "change.gpkg") == dump_of(four / "change.gpkg"));
    const Band kind = read_band(one / "change.tif");
    const Band net = read_band(one / "change.tif", 2);
    const auto at = [](const Band& band, int x, int y) { return band.at(199 - y, 200 + x); };
    CHECK(at(kind, -40, 5) == 1);
    CHECK(at(net, -40, 5) == 0);
    CHECK(at(kind, 20, 40) == 2);
    CHECK(at(net, 20, 40) == 20000);
    CHECK(at(kind, -10, 5) == 3);
    CHECK(at(net, -10, 5) == 10000);
    CHECK(at(kind, 20, 5) == 4);
    CHECK(at(kind, 20, -40) == 5);
    CHECK(at(net, 20, -40) == 65535);
    CHECK(at(kind, 20, -10) == 1); // a mixed stand goes by its share
    CHECK(at(net, 20, -10) > 0);
    CHECK(at(net, 20, -10) < 10000);
    CHECK(at(kind, 190, 190) == 65535);
}

TEST_CASE("a matrix of change adjusts the community within the widest distance, and nothing else")
{
    const ChangeRuns runs;
    const std::vector<Shape> house{square_house("H", 0, 0)};
    const auto half = [](double x, double) { return x < 0 ? conifer : grass; };
    runs.map("before", {house, all_conifer});
    runs.map("after", {house, half});
    write_text(runs.path("matrix.csv"), "map_class,removed,regrown,unchanged,no_conifer\n"
                                        "removed,45,0,3,2\nregrown,0,10,0,10\n"
                                        "unchanged,5,0,45,0\nno_conifer,0,2,0,48\n");
    const fs::path out =
        runs.changed("before", "after", "out", {"--matrix", runs.path("matrix.csv")});
    // Half the ring is mapped as removed, half as unchanged: shares 0.45 + 0.05, 0.03 + 0.45.
    const double ring_ha = change_ha(out, "ground_ha", "within_100m");
    CHECK(change_ha(out, "removed_adjusted_ha", "within_100m") ==
          doctest::Approx(ring_ha * (0.5 * 0.9 + 0.5 * 0.1)).epsilon(1e-9));
    CHECK(change_ha(out, "unchanged_adjusted_ha", "within_100m") ==
          doctest::Approx(ring_ha * (0.5 * 0.06 + 0.5 * 0.9)).epsilon(1e-9));
    // Olofsson et al. 2014, equation 10: sqrt(sum of W^2 p (1 - p) / (n - 1)), z = 1.959964.
    const double se = std::sqrt(0.25 * 0.9 * 0.1 / 49 + 0.25 * 0.1 * 0.9 / 49);
    CHECK(change_ha(out, "removed_ci95_ha", "within_100m") ==
          doctest::Approx(1.959964 * se * ring_ha).epsilon(1e-9));
    // Nobody knows how many points of a matrix lie in a ring.
    CHECK(sql_number(out / "change.gpkg", "select count(removed_adjusted_ha) from change_areas") ==
          1);
    const Csv rows = read_csv(out / "change.csv");
    CHECK(rows.cell(7, "basis") == "mapped, and adjusted by the matrix");
    CHECK(rows.cell(7, "reference_points") == "170");
    CHECK(rows.cell(0, "basis") == "mapped, not adjusted");
    CHECK(read_csv(out / "change_accuracy.csv").cell(0, "users_accuracy") == "0.900000");
    const fs::path plain = runs.changed("before", "after", "plain");
    CHECK(read_csv(plain / "change.csv").cell(0, "basis") == "mapped, not adjusted");
    CHECK(read_csv(plain / "change.csv").cell(0, "removed_adjusted_ha").empty());
}

TEST_CASE("ranks of runs that ranked by different figures are not subtracted")
{
    const ChangeRuns runs;
    const std::vector<Shape> houses{square_house("H", 0, 0), square_house("I", 60, 0)};
    runs.map("by exposure", {houses, all_conifer});
    write_text(runs.path("multipliers.csv"), "value,label,multiplier,source\nH,,2,made up\n");
    ConfigFile config = hamlet_config(runs.path("by exposure_inputs"));
    config.tables.erase("inputs.addresses");
    config("inputs.structures", "attributes") =
        "[{column = 'structure_id', multipliers = " + toml_text(runs.path("multipliers.csv")) +
        ", unknown = 1}]";
    config("output", "rank_by") = "'exposure_x_susceptibility'";
    runs.map("by product", config);

    const ProgramResult run = runs.change("by exposure", "by product", "mixed");
    REQUIRE(run.exit_code == 0);
    CHECK(run.err.find("rank_change is left empty") != std::string::npos);
    const char* ranks = "select count(rank_change), count(rank_after) from change_structures";
    CHECK(sql(runs.path("mixed") / "change.gpkg", ranks).front()[0].number == 0);
    CHECK(sql(runs.path("mixed") / "change.gpkg", ranks).front()[1].number == 2);
    const fs::path alike = runs.changed("by product", "by product", "alike");
    CHECK(sql(alike / "change.gpkg", ranks).front()[0].number == 2);
}
