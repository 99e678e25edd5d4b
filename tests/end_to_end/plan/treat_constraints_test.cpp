// SPDX-License-Identifier: Apache-2.0

// What a plan of `fuelring treat` must not touch, must do first, or may only thin.
#include "end_to_end/treat_runs.hpp"

using namespace fuelring::test;
using nlohmann::json;

namespace {

json planned(const PlannedHamlet& hamlet, std::vector<std::string> more = {})
{
    more.insert(more.begin(), "--json");
    const ProgramResult run = must_succeed(hamlet.run("treat", more));
    return json::parse(run.out).at("treatment");
}

/// Of the rows that have this text in a column.
double sum_where(const Csv& table, const char* column, const std::string& text, const char* values)
{
    double sum = 0;
    for (std::size_t k = 0; k < table.rows.size(); ++k)
        if (table.cell(k, column) == text)
            sum += std::stod(table.cell(k, values));
    return sum;
}

/// As much as there is: every cell that may be treated is.
void treat_all(PlannedHamlet& hamlet)
{
    hamlet.config("treat", "budget") = "{ hectares = 5 }";
    hamlet.config("treat", "smallest_m2") = "0";
}

/// A layer of [treat] with one polygon; `more` are further keys.
void set_layer(PlannedHamlet& hamlet, const std::string& key, const std::string& wkt,
               const std::string& more = {})
{
    const fs::path file = hamlet.folder() / (key + ".gpkg");
    fs::remove(file);
    make_layer(file, "GPKG", "what", 32611, {{"area", wkt}});
    hamlet.config("treat", key) = fmt::format("{{ path = {}{} }}", toml_text(file), more);
}

double measured(const json& plan)
{
    return number(plan, "sum_exposure_before") - number(plan, "sum_exposure_after");
}

} // namespace

TEST_CASE("of a cell that a keep-out area covers in part, exactly that part stays")
{
    PlannedHamlet hamlet;
    treat_all(hamlet);
    const auto west_of = [&](double x) {
        set_layer(hamlet, "keep_out", rectangle_wkt(599990, 5599990, x, 5600310), ", by = 'cover'");
        return planned(hamlet);
    };
    const json none = west_of(600050);
    const json part = west_of(600050.37);
    const json all = west_of(600051);
    for (const char* key : {"conifer_ha", "exposure_removed"}) {
        CAPTURE(key);
        CHECK(number(part, key) ==
              doctest::Approx(0.63 * number(none, key) + 0.37 * number(all, key)).epsilon(1e-6));
        CHECK(number(part, key) < number(none, key) * (1 - 1e-4));
    }
    // Measured on the ground as it is left: exposure is linear in conifers.
    CHECK(measured(part) ==
          doctest::Approx(0.63 * measured(none) + 0.37 * measured(all)).epsilon(1e-9));
    CHECK(measured(part) == doctest::Approx(number(part, "exposure_removed")).epsilon(1e-6));
    CHECK(number(part, "conifer_cells_kept_out") > 0);
}

TEST_CASE("land that is declined stays as it is, by owner, by parcel, or drawn")
{
    PlannedHamlet hamlet;
    const double free = number(planned(hamlet), "exposure_removed");
    CHECK_FALSE(fs::exists(hamlet.out() / "treatment_constraints.csv"));
    const auto units = [&] { return text_of(hamlet.out() / "treatment_units.csv"); };
    const std::string unconstrained = units();
    CHECK(sum_where(read_csv(hamlet.out() / "treatment_units.csv"), "owner", "town", "conifer_m2") >
          0);

    hamlet.config("treat", "declined") = "{ owners = ['Town'] }";
    const json by_owner = planned(hamlet);
    const std::string rows = units();
    CHECK(rows.find(",town,") == std::string::npos);
    CHECK(rows.find(",private,") != std::string::npos);
    const json price = by_owner.at("constraints").at(0);
    CHECK(price.at("constraint") == "treat.declined.owners");
    CHECK(price.at("name") == "town");
    CHECK(number(price, "exposure_removed_without") == doctest::Approx(free).epsilon(1e-12));
    CHECK(number(price, "points") ==
          doctest::Approx(free - number(by_owner, "exposure_removed")).epsilon(1e-9));
    CHECK(number(price, "points") > 0);
    const Csv prices = read_csv(hamlet.out() / "treatment_constraints.csv");
    CHECK(prices.cell(0, "name") == "town");
    CHECK(std::abs(std::stod(prices.cell(0, "points")) - number(price, "points")) <= 0.5001e-4);

    hamlet.config("treat", "declined") = "{ parcels = ['Town'], id = 'owner' }";
    CHECK(planned(hamlet).at("constraints").at(0).at("constraint") == "treat.declined.parcels");
    CHECK((units() == rows));

    hamlet.config.tables["treat"].erase("declined");
    set_layer(hamlet, "keep_out", rectangle_wkt(600000, 5600150, 600300, 5600300),
              ", by = 'cover'");
    planned(hamlet);
    CHECK((units() == rows));

    hamlet.config.tables["treat"].erase("keep_out");
    planned(hamlet); // prices of what no longer constrains go, too
    CHECK_FALSE(fs::exists(hamlet.out() / "treatment_constraints.csv"));
    CHECK((units() == unconstrained));
}

TEST_CASE("what is required comes first, within the same budget and below the same bounds")
{
    PlannedHamlet hamlet;
    // Aslant through the conifers: 190 m2, mostly whole cells.
    const std::string belt =
        "POLYGON ((600080 5600100, 600099 5600100, 600099 5600120, 600080 5600100))";
    set_layer(hamlet, "required", belt);
    const json plan = planned(hamlet);
    const Csv units = read_csv(hamlet.out() / "treatment_units.csv");
    const double required_m2 = sum_where(units, "required", "yes", "conifer_m2");
    CHECK(required_m2 <= 190.0001);
    CHECK(required_m2 >= 190 - 0.01 * 40); // rounded down in the 40 cells that its edges cross
    CHECK(sum_where(units, "required", "yes", "cost") ==
          doctest::Approx(required_m2 * 1.2).epsilon(1e-4));
    double cost = 0;
    for (std::size_t k = 0; k < units.rows.size(); ++k)
        cost += std::stod(units.cell(k, "cost"));
    CHECK(cost <= 300 + 1e-6);
    CHECK(cost > 250); // the rest is spent, too
    CHECK(number(plan, "exposure_removed") <= number(plan.at("bounds"), "reachable"));
    CHECK(number(plan.at("bounds"), "reachable") <=
          number(plan.at("bounds"), "fractional_optimum") * (1 + 1e-9));
    CHECK(measured(plan) == doctest::Approx(number(plan, "exposure_removed")).epsilon(1e-6));
    CHECK(plan.at("constraints").at(0).at("constraint") == "treat.required");
    CHECK(number(plan.at("constraints").at(0), "points") > 0);

    // Where everything is treated in the end, it does not matter what had to be.
    treat_all(hamlet);
    const json both = planned(hamlet);
    hamlet.config.tables["treat"].erase("required");
    const json free = planned(hamlet);
    CHECK(measured(both) == doctest::Approx(measured(free)).epsilon(1e-9));
    CHECK(number(both, "conifer_ha") == doctest::Approx(number(free, "conifer_ha")).epsilon(1e-6));
}

TEST_CASE("what is required leaves out the part that must not be touched")
{
    PlannedHamlet hamlet;
    treat_all(hamlet);
    set_layer(hamlet, "required", rectangle_wkt(600080.5, 5600100, 600090.5, 5600110));
    set_layer(hamlet, "keep_out", rectangle_wkt(600085.25, 5600090, 600120, 5600120),
              ", by = 'cover'");
    planned(hamlet);
    const Csv units = read_csv(hamlet.out() / "treatment_units.csv");
    CHECK(sum_where(units, "required", "yes", "conifer_m2") == doctest::Approx(47.5).epsilon(1e-9));
}

TEST_CASE("one owner's conifers are thinned, another's cleared")
{
    PlannedHamlet hamlet;
    treat_all(hamlet);
    const json cleared = planned(hamlet);
    const auto removed_by = [&](const char* owner) {
        return sum_where(read_csv(hamlet.out() / "treatment_units.csv"), "owner", owner,
                         "exposure_removed");
    };
    const double of_private = removed_by("private");
    const double of_town = removed_by("town");
    hamlet.config("treat", "thinning") = "[{ owner = 'private', residual_share = 0.25 }]";
    const json thinned = planned(hamlet);
    CHECK(removed_by("private") == doctest::Approx(0.75 * of_private).epsilon(1e-4));
    CHECK(removed_by("town") == doctest::Approx(of_town).epsilon(1e-4));
    CHECK(number(thinned, "conifer_ha") ==
          doctest::Approx(number(cleared, "conifer_ha")).epsilon(1e-9));
    CHECK(measured(thinned) == doctest::Approx(number(thinned, "exposure_removed")).epsilon(1e-6));
    const Csv units = read_csv(hamlet.out() / "treatment_units.csv");
    for (std::size_t k = 0; k < units.rows.size(); ++k)
        CHECK(std::stod(units.cell(k, "residual_share")) ==
              (units.cell(k, "owner") == "private" ? 0.25 : 0));
    CHECK(number(thinned.at("constraints").at(0), "points") ==
          doctest::Approx(0.25 * of_private).epsilon(1e-4));
}

TEST_CASE("a floor is kept in the rows, and its price is the plan with it against the plan without")
{
    PlannedHamlet hamlet;
    const json free = planned(hamlet);
    const Csv free_units = read_csv(hamlet.out() / "treatment_units.csv");
    const double of_town = sum_where(free_units, "owner", "town", "exposure_removed");
    const double of_private = sum_where(free_units, "owner", "private", "exposure_removed");
    hamlet.config("treat", "limits") =
        fmt::format("[{{ owner = 'private', at_least = {:.3f} }}, {{ owner = 'Town', of = 'money', "
                    "at_most = 60 }}, {{ owner = 'town', at_most = 1000000 }}]",
                    1.02 * of_private);
    const json plan = planned(hamlet);
    const Csv units = read_csv(hamlet.out() / "treatment_units.csv");
    CHECK(sum_where(units, "owner", "private", "exposure_removed") >= 1.02 * of_private - 1e-3);
    CHECK(sum_where(units, "owner", "town", "cost") <= 60 + 1e-6);
    CHECK(sum_where(units, "owner", "town", "exposure_removed") < of_town);
    CHECK(number(plan, "cost") <= 300);
    CHECK(number(plan, "exposure_removed") <= number(plan.at("bounds"), "reachable"));
    CHECK(measured(plan) == doctest::Approx(number(plan, "exposure_removed")).epsilon(1e-6));
    const json& prices = plan.at("constraints");
    REQUIRE(prices.size() == 3);
    CHECK(prices.at(2).at("name") == "cap of 1,000,000 points on land of town");
    for (const json& price : prices) {
        CHECK(price.at("constraint") == "treat.limits");
        CHECK(number(price, "points") >= 0);
        CHECK(number(price, "exposure_removed_without") <=
              number(free, "exposure_removed") * (1 + 0.02));
    }
    CHECK(prices.at(0).at("name").get<std::string>().find("floor of ") == 0);
    CHECK(prices.at(1).at("name") == "cap of 60 on land of town");
    CHECK(number(prices.at(0), "points") + number(prices.at(1), "points") > 0);
}

TEST_CASE("work over years: no year is overspent, and what stands removed follows the formula")
{
    PlannedHamlet hamlet;
    hamlet.config("treat", "years") =
        "[{ year = 2027, budget = 120.5 }, { year = 2028, budget = 79.5 }, { year = 2029, budget = "
        "100 }]";
    hamlet.config("treat", "regrowth_per_year") = "0.05";
    hamlet.config("treat", "upkeep_per_ha") = "600";
    hamlet.config("treat", "max_unit_m2") = "60";
    set_layer(hamlet, "required", rectangle_wkt(600090, 5600100, 600099, 5600105.5));
    const json plan = planned(hamlet);
    const Csv units = read_csv(hamlet.out() / "treatment_units.csv");
    const Csv years = read_csv(hamlet.out() / "treatment_years.csv");
    REQUIRE(years.rows.size() == 3);
    double stands = 0;
    double treated_m2 = 0;
    for (std::size_t y = 0; y < 3; ++y) {
        const std::string year = years.cell(y, "year");
        CHECK(year == std::to_string(2027 + y));
        const double cost = sum_where(units, "year", year, "cost");
        const double upkeep = std::stod(years.cell(y, "upkeep"));
        CHECK(std::stod(years.cell(y, "cost")) == doctest::Approx(cost).epsilon(1e-9));
        CHECK(cost + upkeep <= std::stod(years.cell(y, "budget")) + 1e-6);
        // 600 a hectare, each row rounded up to the cent.
        CHECK(upkeep >= 0.06 * treated_m2 - 1e-6);
        CHECK(upkeep <= 0.06 * treated_m2 + 0.01 * static_cast<double>(units.rows.size()));
        treated_m2 += sum_where(units, "year", year, "conifer_m2");
        stands = 0.95 * stands + sum_where(units, "year", year, "exposure_removed");
        CHECK(std::stod(years.cell(y, "exposure_lower_by")) ==
              doctest::Approx(stands).epsilon(1e-4));
    }
    CHECK(std::stod(years.cell(2, "units")) > 0);
    CHECK(number(plan, "cost") > 200);
    const json& prices = plan.at("constraints");
    REQUIRE(prices.size() == 2);
    CHECK(prices.at(1).at("constraint") == "treat.years");
    CHECK(number(prices.at(1), "points") >= 0);
    CHECK(plan.at("years").size() == 3);
}

TEST_CASE("a plan with constraints is the same for any number of workers, and says their price")
{
    PlannedHamlet hamlet;
    set_layer(hamlet, "required",
              "POLYGON ((600080 5600100, 600099 5600100, 600099 5600120, 600080 5600100))");
    set_layer(hamlet, "keep_out", rectangle_wkt(600020.3, 5600140, 600097.7, 5600145.5),
              ", by = 'cover'");
    hamlet.config("treat", "thinning") = "[{ owner = 'town', residual_share = 0.5 }]";
    std::string first;
    for (const char* jobs : {"1", "2", "7"}) {
        const ProgramResult run = must_succeed(hamlet.run("treat", {"--jobs", jobs}));
        std::string tables = dump_of(hamlet.out() / "treatment.gpkg");
        for (const char* name :
             {"treatment_units.csv", "treatment_constraints.csv", "treatment_exposure.csv"})
            tables += text_of(hamlet.out() / name);
        if (first.empty())
            first = tables;
        CHECK((tables == first));
        for (const char* words :
             {"required areas: ", "keep-out areas: ", "thinning on land of town: "})
            CHECK(run.said(words));
    }
    for (const json& price :
         json::parse(text_of(hamlet.out() / "run.json")).at("treatment").at("constraints"))
        CHECK(number(price, "points") >= 0);
}
