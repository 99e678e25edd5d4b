// SPDX-License-Identifier: Apache-2.0

// Methods by slope and by distance to a road, as `fuelring treat` plans them.
#include "end_to_end/terrain_runs.hpp"
#include "end_to_end/treat_runs.hpp"

#include <cmath>

using namespace fuelring::test;
using nlohmann::json;

namespace {

/// Heights for the hamlet; rings stay round, so that only methods depend on them.
void set_heights(PlannedHamlet& hamlet, std::function<double(double, double)> height_at,
                 std::int64_t cols = 300)
{
    const fs::path file = hamlet.folder() / "heights.tif";
    fs::remove(file);
    make_elevation(file, {cols, 300, two_metre_cells, 32611, std::move(height_at)});
    hamlet.config("inputs.elevation", "path") = toml_text(file);
    hamlet.config("terrain", "factors") = "[]";
}

void set_road(PlannedHamlet& hamlet, const std::string& line)
{
    const fs::path file = hamlet.folder() / "roads.gpkg";
    fs::remove(file);
    make_layer(file, "GPKG", "what", 32611, {{"road", line}});
    hamlet.config("inputs.roads", "path") = toml_text(file);
}

/// Nothing outside a rectangle may be treated.
void keep_to(PlannedHamlet& hamlet, double x0, double y0, double x1, double y1)
{
    const fs::path file = hamlet.folder() / "kept.gpkg";
    fs::remove(file);
    make_layer(file, "GPKG", "what", 32611,
               {{"rest", fmt::format("POLYGON ((599900 5599900, 600400 5599900, 600400 5600400, "
                                     "599900 5600400, 599900 5599900), ({0} {1}, {0} {3}, {2} {3}, "
                                     "{2} {1}, {0} {1}))",
                                     x0, y0, x1, y1)}});
    hamlet.config("treat", "keep_out") =
        fmt::format("{{ path = {}, by = 'cover' }}", toml_text(file));
}

json plan_of(const PlannedHamlet& hamlet)
{
    return json::parse(must_succeed(hamlet.run("treat", {"--json"})).out).at("treatment");
}

Csv units_of(const PlannedHamlet& hamlet)
{
    return read_csv(hamlet.out() / "treatment_units.csv");
}

double number_in(const Csv& units, std::size_t row, const char* column)
{
    return std::stod(units.cell(row, column));
}

} // namespace

TEST_CASE("each unit has the slope of its land and its distance to the nearest road")
{
    PlannedHamlet hamlet;
    set_heights(hamlet, plane(30, 250));
    set_road(hamlet, "LINESTRING (600060 5600000, 600060 5600145.5)");
    keep_to(hamlet, 600080, 5600140, 600090, 5600150);
    hamlet.config("treat", "budget") = "{ hectares = 5 }";
    plan_of(hamlet);
    const Csv units = units_of(hamlet);
    REQUIRE(units.rows.size() == 1);
    CHECK(number_in(units, 0, "conifer_m2") == 100);
    CHECK(number_in(units, 0, "slope_percent") == doctest::Approx(30).epsilon(1e-4));
    CHECK(number_in(units, 0, "road_m") == doctest::Approx(20).epsilon(1e-6));

    set_road(hamlet, "MULTILINESTRING ((600077 5600136, 600050 5600100), (600200 5600000, 600300 "
                     "5600300))");
    plan_of(hamlet);
    CHECK(number_in(units_of(hamlet), 0, "road_m") == doctest::Approx(5).epsilon(1e-6)); // 3, 4, 5
    set_road(hamlet, "LINESTRING (600085.2 5600144, 600085.3 5600144)"); // within the unit
    plan_of(hamlet);
    CHECK(number_in(units_of(hamlet), 0, "road_m") == 0);
}

TEST_CASE("slope and road decide the method, and the budget pays for it to the cent")
{
    PlannedHamlet hamlet;
    // Over a base of 20 m the slope at x is 50 % * (x - 600050) / 20 m from 600050 to 600070.
    set_heights(hamlet, [](double x, double) { return 500 + 0.5 * std::max(0.0, x - 600060); });
    set_road(hamlet, "LINESTRING (600000 5600100, 600300 5600100)");
    const std::string by_hand = "{ per_ha = 12000 }";
    const std::string by_machine =
        "{ method = 'machine', per_ha = 3000, max_slope_percent = 25, max_road_m = 30 }";
    const auto costs = [&](const std::string& entries) {
        hamlet.config("treat", "costs") = "[" + entries + "]";
    };
    hamlet.config("treat", "smallest_m2") = "0";
    hamlet.config("treat", "budget") = "{ money = 100000 }";

    keep_to(hamlet, 600000, 5600070, 600060, 5600130); // where a machine can go
    costs(by_hand);
    const double for_machines = number(plan_of(hamlet), "conifer_ha");
    hamlet.config.tables["treat"].erase("keep_out");
    const double all = number(plan_of(hamlet), "conifer_ha");
    costs(by_hand + ", " + by_machine);
    const json free = plan_of(hamlet);
    CHECK(number(free, "conifer_ha") == doctest::Approx(all).epsilon(1e-9));
    CHECK(number(free, "conifer_cells_without_method") == 0);
    CHECK(free.at("note").get<std::string>().find("steep") != std::string::npos);
    double machine_m2 = 0;
    const Csv every = units_of(hamlet);
    for (std::size_t k = 0; k < every.rows.size(); ++k) {
        const bool machine = every.cell(k, "method") == "machine";
        const double m2 = number_in(every, k, "conifer_m2");
        CHECK(number_in(every, k, "cost") ==
              doctest::Approx(std::ceil(m2 * (machine ? 30 : 120) - 1e-6) / 100).epsilon(1e-9));
        machine_m2 += machine ? m2 : 0;
        if (machine) {
            CHECK(number_in(every, k, "slope_percent") <= 25);
            CHECK(number_in(every, k, "road_m") <= 30);
        }
    }
    CHECK(for_machines > 0.1);
    CHECK(machine_m2 == doctest::Approx(1e4 * for_machines).epsilon(1e-9));

    costs(by_machine + ", { method = 'cable', per_ha = 20000, max_road_m = 60 }, "
                       "{ per_ha = 90000, max_slope_percent = 1 }");
    const json some = plan_of(hamlet);
    CHECK(number(some, "conifer_cells_without_method") > 0);
    CHECK(number(some, "conifer_ha") < all);

    // A small budget, with a cost for each unit: sums of the rows as they are written.
    hamlet.config("treat", "budget") = "{ money = 1500 }";
    hamlet.config("treat", "smallest_m2") = "10";
    hamlet.config("treat", "fixed_cost_per_unit") = "40";
    costs(by_hand);
    const double hand_alone = number(plan_of(hamlet), "exposure_removed");
    costs(by_hand + ", " + by_machine);
    const json both = plan_of(hamlet);
    const Csv units = units_of(hamlet);
    std::int64_t cents = 0;
    for (std::size_t k = 0; k < units.rows.size(); ++k)
        cents += std::llround(100 * number_in(units, k, "cost"));
    CHECK(cents <= 150'000);
    CHECK(cents > 120'000);
    CHECK(number(both, "exposure_removed") >= 0.9 * hand_alone);
    const json& price = both.at("constraints").at(0); // machines everywhere would do more
    CHECK(price.at("constraint") == "treat.costs");
    CHECK(number(price, "exposure_removed_without") >
          number(both, "exposure_removed") + 0.9 * number(price, "points"));
    CHECK(number(price, "points") > 0);
    CHECK(number(both, "exposure_removed") <= number(both.at("bounds"), "reachable") * (1 + 1e-6));
    CHECK(number(both, "sum_exposure_before") - number(both, "sum_exposure_after") ==
          doctest::Approx(number(both, "exposure_removed")).epsilon(1e-6));
}

TEST_CASE("where no height is known, only methods without a limit of slope are used")
{
    PlannedHamlet hamlet;
    set_heights(hamlet, [](double x, double y) {
        return y < 5600150 ? 500 + 0 * x : std::numeric_limits<double>::quiet_NaN();
    });
    hamlet.config("treat", "budget") = "{ money = 100000 }";
    hamlet.config("treat", "costs") =
        "[{ method = 'machine', per_ha = 3000, max_slope_percent = 25 }, { per_ha = 12000 }]";
    plan_of(hamlet);
    const Csv units = units_of(hamlet);
    double by_hand_m2 = 0;
    for (std::size_t k = 0; k < units.rows.size(); ++k)
        if (units.cell(k, "method") == "hand") {
            CHECK(units.cell(k, "slope_percent").empty());
            by_hand_m2 += number_in(units, k, "conifer_m2");
        } else {
            CHECK(number_in(units, k, "slope_percent") == 0);
            CHECK(number_in(units, k, "y") < 5600150);
        }
    CHECK(by_hand_m2 > 1000);
}
