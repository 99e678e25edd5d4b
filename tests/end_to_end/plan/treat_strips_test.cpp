// SPDX-License-Identifier: Apache-2.0

// Strips along lines, as `fuelring treat` plans them.
#include "end_to_end/treat_runs.hpp"

#include <cmath>
#include <numbers>
#include <set>
#include <string>

using namespace fuelring::test;
using nlohmann::json;

namespace {

/// A line in front of the west wall of the house A-1 (y from 5600140 to 5600152), in a hamlet whose
/// conifers end at x = 600100 and whose mixed stand (half conifers) begins there. The town's land
/// begins at y = 5600150.
void plan_strip(PlannedHamlet& hamlet, const std::string& line, const std::string& form)
{
    const fs::path file = hamlet.folder() / "lines.gpkg";
    fs::remove(file);
    make_layer(file, "GPKG", "what", 32611, {{"edge", line}});
    hamlet.config("treat", "shape") = "'strip'";
    hamlet.config("treat", "strips") = fmt::format("{{ path = {}, {} }}", toml_text(file), form);
}

json planned_strips(const PlannedHamlet& hamlet)
{
    return json::parse(must_succeed(hamlet.run("treat", {"--json"})).out).at("treatment");
}

constexpr double line_m = 10;     ///< in front of the wall
constexpr double conifer_m = 4.5; ///< across the strip: 4 m of conifers, 1 m of half

} // namespace

TEST_CASE("a strip along a straight edge: area and gain by closed forms")
{
    PlannedHamlet hamlet;
    hamlet.config("treat", "budget") = "{ hectares = 1 }";
    // 5 m wide, from x = 600096 to 600101: 3.25 to 8.25 m off the wall at x = 600104.25.
    plan_strip(hamlet, "LINESTRING (600098.5 5600140, 600098.5 5600150)",
               "width_m = 5, least_length_m = 10");
    const json plan = planned_strips(hamlet);
    const Csv units = read_csv(hamlet.out() / "treatment_units.csv");
    REQUIRE(units.rows.size() >= 1);
    double conifer_m2 = 0;
    double length_m = 0;
    for (std::size_t k = 0; k < units.rows.size(); ++k) {
        conifer_m2 += std::stod(units.cell(k, "conifer_m2"));
        length_m += std::stod(units.cell(k, "length_m"));
    }
    CHECK(conifer_m2 == doctest::Approx(line_m * conifer_m).epsilon(1e-6));
    CHECK(length_m == doctest::Approx(line_m).epsilon(1e-6));

    // The strip lies in the ring from 1.5 to 10 m, whose area is P r + pi r^2 (Steiner).
    const json rings =
        json::parse(text_of(hamlet.out() / "run.json")).at("configuration").at("rings");
    const auto weights = rings.at("weight").get<std::vector<double>>();
    REQUIRE(rings.at("outer_m").get<std::vector<double>>().at(1) == 10);
    double sum = 0;
    for (const double w : weights)
        sum += w;
    const double perimeter_m = 2 * (12.25 + 12);
    const double ring_m2 = perimeter_m * (10 - 1.5) + std::numbers::pi * (10 * 10 - 1.5 * 1.5);
    const double gain = 100 * weights[1] / sum * line_m * conifer_m / ring_m2;
    const std::vector<SqlRow> home =
        sql(hamlet.out() / "treatment.gpkg", "SELECT exposure_before, exposure_after FROM "
                                             "treatment_exposure WHERE structure_id = 'A-1'");
    REQUIRE(home.size() == 1);
    CHECK(*home[0][0].number - *home[0][1].number == doctest::Approx(gain).epsilon(1e-9));
    CHECK(number(plan, "sum_exposure_before") - number(plan, "sum_exposure_after") ==
          doctest::Approx(number(plan, "exposure_removed")).epsilon(1e-6));
    CHECK(number(plan, "exposure_removed") <= number(plan.at("bounds"), "reachable") * (1 + 1e-6));
}

TEST_CASE("strips keep their least length and the budget, and lines that cross share no ground")
{
    PlannedHamlet hamlet;
    plan_strip(hamlet,
               "MULTILINESTRING ((600060 5600060, 600099 5600240), (600099 5600080, 600070 "
               "5600230))",
               "width_m = 6, least_length_m = 25");
    hamlet.config("treat", "fixed_cost_per_unit") = "20";
    const json plan = planned_strips(hamlet);
    const Csv units = read_csv(hamlet.out() / "treatment_units.csv");
    double cost = 0;
    CHECK(units.rows.size() >= 1);
    for (std::size_t k = 0; k < units.rows.size(); ++k) {
        const double length_m = std::stod(units.cell(k, "length_m"));
        CHECK(length_m >= 25 - 1e-3);
        CHECK(std::stod(units.cell(k, "conifer_m2")) <= 6 * length_m + 1e-3);
        cost += std::stod(units.cell(k, "cost"));
    }
    CHECK(cost <= 300 + 1e-6);
    CHECK(cost > 150);
    CHECK(number(plan, "sum_exposure_before") - number(plan, "sum_exposure_after") ==
          doctest::Approx(number(plan, "exposure_removed")).epsilon(1e-6));
    CHECK(number(plan, "exposure_removed") <= number(plan.at("bounds"), "reachable") * (1 + 1e-6));
    REQUIRE(run_fuelring({"report", hamlet.out().string(), "--quiet"}).exit_code == 0);

    hamlet.config("treat", "limits") = "[{ owner = 'town', of = 'hectares', at_most = 0.005 }]";
    planned_strips(hamlet);
    const Csv capped = read_csv(hamlet.out() / "treatment_units.csv");
    double of_town = 0;
    for (std::size_t k = 0; k < capped.rows.size(); ++k)
        if (capped.cell(k, "owner") == "town")
            of_town += std::stod(capped.cell(k, "conifer_m2"));
    CHECK(of_town <= 50);
}

TEST_CASE("a unit is all of a parcel that may be treated, and the budget chooses among parcels")
{
    PlannedHamlet hamlet;
    make_layer(hamlet.folder() / "plots.gpkg", "GPKG", "owner", 32611,
               {{"private", rectangle_wkt(600000, 5600000, 600300, 5600100)},
                {"private", rectangle_wkt(600000, 5600100, 600300, 5600150)},
                {"Town", rectangle_wkt(600000, 5600150, 600300, 5600200)},
                {"Town", rectangle_wkt(600000, 5600200, 600300, 5600300)}});
    hamlet.config("inputs.parcels", "path") = toml_text(hamlet.folder() / "plots.gpkg");
    hamlet.config("treat", "budget") = "{ hectares = 5 }";
    hamlet.config("treat", "smallest_m2") = "0";
    const double all_ha = number(planned_strips(hamlet), "conifer_ha"); // in patches
    hamlet.config("treat", "shape") = "'parcel'";
    const json every = planned_strips(hamlet);
    CHECK(number(every, "conifer_ha") == doctest::Approx(all_ha).epsilon(1e-6));
    const auto units = [&] { return read_csv(hamlet.out() / "treatment_units.csv"); };
    std::set<std::string> parcels;
    const Csv whole = units();
    for (std::size_t k = 0; k < whole.rows.size(); ++k) {
        parcels.insert(whole.cell(k, "parcel"));
        CHECK((whole.cell(k, "owner") == "town") == (whole.cell(k, "parcel") > "2"));
    }
    CHECK(whole.rows.size() == 4);
    CHECK((parcels == std::set<std::string>{"1", "2", "3", "4"}));

    hamlet.config("treat", "budget") = "{ money = 4500 }";
    hamlet.config("treat", "fixed_cost_per_unit") = "50";
    const json chosen = planned_strips(hamlet);
    const Csv some = units();
    CHECK(some.rows.size() >= 1);
    CHECK(some.rows.size() < 4);
    double cost = 0;
    for (std::size_t k = 0; k < some.rows.size(); ++k) {
        cost += std::stod(some.cell(k, "cost"));
        for (std::size_t w = 0; w < whole.rows.size(); ++w)
            if (whole.cell(w, "parcel") == some.cell(k, "parcel"))
                CHECK(whole.cell(w, "conifer_m2") == some.cell(k, "conifer_m2"));
    }
    CHECK(cost <= 4500 + 1e-6);
    CHECK(number(chosen, "sum_exposure_before") - number(chosen, "sum_exposure_after") ==
          doctest::Approx(number(chosen, "exposure_removed")).epsilon(1e-6));
    CHECK(number(chosen, "exposure_removed") <=
          number(chosen.at("bounds"), "reachable") * (1 + 1e-6));

    hamlet.config("treat", "declined") = "{ owners = ['Town'] }";
    planned_strips(hamlet);
    const Csv rest = units();
    for (std::size_t k = 0; k < rest.rows.size(); ++k)
        CHECK(rest.cell(k, "owner") == "private");
}
