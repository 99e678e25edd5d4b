// SPDX-License-Identifier: Apache-2.0

// What a plan of `fuelring treat` costs: never more than its budget, and nothing where no cost is
// known.
#include "end_to_end/treat_runs.hpp"

#include <random>

using namespace fuelring::test;
using nlohmann::json;

TEST_CASE("a fixed cost of each unit makes fewer units, below the bound that knows of it")
{
    PlannedHamlet hamlet;
    const auto plan_at = [&](const char* fixed) {
        hamlet.config("treat", "fixed_cost_per_unit") = fixed;
        const ProgramResult run = must_succeed(hamlet.run("treat", {"--json"}));
        return json::parse(run.out).at("treatment");
    };
    const json without = plan_at("0");
    const json with = plan_at("60");
    CHECK(number(with, "units") <= number(without, "units"));
    CHECK(number(with, "exposure_removed") <= number(with.at("bounds"), "reachable"));
    CHECK(number(with, "cost") <= 300);
    CHECK(number(with, "units") >= 1);
    double most = number(with.at("bounds"), "reachable");
    for (const json& larger : with.at("bounds").at("reachable_at_larger_sizes")) {
        CHECK(number(larger, "most_exposure_removable") <= most); // larger units are units
        most = number(larger, "most_exposure_removable");
    }
}

TEST_CASE("with fixed costs and cuts the rows that are written stay within the budget")
{
    PlannedSample sample;
    std::mt19937 random{2024};
    const auto some = [&](double from, double to) {
        return from + (to - from) * static_cast<double>(random() % 1'000) / 1e3;
    };
    for (int draw = 0; draw < 3; ++draw) {
        const double budget = std::round(some(4'000, 60'000));
        CAPTURE(budget);
        sample.config("treat", "budget") = fmt::format("{{ money = {} }}", budget);
        sample.config("treat", "costs") = fmt::format(
            "[{{ owner = 'private', per_ha = {} }}, {{ per_ha = {} }}]", some(3e3, 1e4), 6000);
        sample.config("treat", "fixed_cost_per_unit") = fmt::format("{:.2f}", some(50, 500));
        sample.config("treat", "max_unit_m2") = fmt::format("{}", some(100, 2'000));
        const ProgramResult run = must_succeed(sample.run("treat"));
        const json plan = json::parse(run.out).at("treatment");
        const Csv units = read_csv(sample.out() / "treatment_units.csv");
        double cost = 0;
        for (std::size_t k = 0; k < units.rows.size(); ++k)
            cost += std::stod(units.cell(k, "cost"));
        CHECK(units.rows.size() > 1);
        CHECK(cost <= budget + 1e-6);
        CHECK(cost >= 0.9 * budget);
        CHECK(number(plan, "cost") == doctest::Approx(cost).epsilon(1e-12));
        CHECK(number(plan, "exposure_removed") <= number(plan.at("bounds"), "reachable"));
        for (const json& strategy : plan.at("strategies"))
            CHECK(number(strategy, "cost") <= budget);
        CHECK(plan.at("strategies").back().at("cost") == plan.at("cost"));
        CHECK(plan.at("strategies").back().at("conifer_ha") == plan.at("conifer_ha"));
        // Where a plan of the curve costs as much as the budget it saves about as much.
        const Csv curve = read_csv(sample.out() / "benefit_curve.csv");
        for (std::size_t k = 0; k < curve.rows.size(); ++k)
            if (std::stod(curve.cell(k, "cost")) <= budget)
                CHECK(std::stod(curve.cell(k, "exposure_removed")) <=
                      1.02 * number(plan, "exposure_removed"));
    }
}

TEST_CASE("without costs nothing speaks of money, and the plan is that of the same hectares")
{
    const auto plan_with = [](const char* costs) {
        Hamlet hamlet;
        hamlet.config("treat", "budget") = "{ hectares = 0.02 }";
        if (costs)
            hamlet.config("treat", "costs") = costs;
        const ProgramResult run = must_succeed(hamlet.run("treat", {"--json"}));
        REQUIRE(run_fuelring({"report", hamlet.out().string(), "--quiet"}).exit_code == 0);
        const std::string page = text_of(hamlet.out() / "report.html");
        std::string all =
            run.err + run.out + dump_of(hamlet.out() / "treatment.gpkg") +
            page.substr(0, page.find("<script>")); // the scripts are those of every page
        for (const char* name : {"treatment_units.csv", "benefit_curve.csv"})
            all += text_of(hamlet.out() / name);
        return std::pair{all, json::parse(run.out).at("treatment").at("exposure_removed")};
    };
    const auto with = plan_with("[{ per_ha = 12000 }]");
    CHECK(with.first.find(",cost,") != std::string::npos);
    const auto without = plan_with(nullptr);
    for (const char* word : {",cost,", "\"cost\"", "cost ", "money", ">Cost<", "for about"})
        CHECK_MESSAGE(without.first.find(word) == std::string::npos, word);
    CHECK(without.second == with.second);
}

TEST_CASE("amounts of money have the town's currency and thousands apart where people read them")
{
    Hamlet hamlet;
    hamlet.config("treat", "budget") = "{ money = 30000 }";
    hamlet.config("treat", "costs") = "[{ per_ha = 120000 }]";
    struct Case {
        std::string_view currency, spent, heading;
    };
    const Case cases[] = {{"'CAD'", "CAD ", "Cost, CAD"}, {"'€'", "€", "Cost, €"}};
    for (const Case& c : cases) {
        CAPTURE(c.currency);
        hamlet.config("report", "currency") = c.currency;
        const ProgramResult run = must_succeed(hamlet.run("treat", {"--json"}));
        CHECK(run.said(fmt::format("(budget {}30,000)", c.spent)));
        const double cost = json::parse(run.out).at("treatment").at("cost").get<double>();
        REQUIRE(cost >= 1000);
        const auto whole = std::llround(cost);
        const std::string words =
            fmt::format(", for about {}{},{:03}", c.spent, whole / 1000, whole % 1000);
        CHECK(run.said(words));
        must_succeed(run_fuelring({"report", hamlet.out().string(), "--quiet"}));
        const std::string page = text_of(hamlet.out() / "report.html");
        CHECK(page.find(words) != std::string::npos);
        CHECK(page.find(fmt::format(">{}<", c.heading)) != std::string::npos);
        CHECK(text_of(hamlet.out() / "treatment_units.csv").find(",cost,") != std::string::npos);
    }
}
