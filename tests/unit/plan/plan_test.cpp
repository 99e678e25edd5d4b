// SPDX-License-Identifier: Apache-2.0
#include "ground.hpp"
#include "plan/treatment_plan.hpp"

#include <doctest/doctest.h>

#include <algorithm>

namespace fuelring::plan {

using namespace fuelring::test;

namespace {

/// Rows and columns of the cells that a plan treats.
std::vector<std::pair<std::int64_t, std::int64_t>> cells_of(const PricePlan& plan)
{
    std::vector<std::pair<std::int64_t, std::int64_t>> cells;
    for (const Unit& unit : plan.units)
        for (const CellRun& run : unit.treated)
            for (std::int64_t col = run.col; col < run.col + run.cols; ++col)
                cells.emplace_back(run.row, col);
    std::sort(cells.begin(), cells.end());
    return cells;
}

double all_cost(const PlanGrid& grid)
{
    return Supply{grid, 3, threads(1)}.all_cost();
}

} // namespace

TEST_CASE("the dearest hedge that the budget pays for is chosen, whole")
{
    // Two hedges of 4 m2; the second saves twice as much. Budget 5: one of them, the better.
    const PlanGrid grid = make_ground({"####.......2222"});
    const UnitRules rules{4, 1, 0};
    const PricePlan plan = plan_within(grid, rules, 5, 3, threads(1));
    CHECK(plan.totals.units == 1);
    CHECK(plan.totals.cost == doctest::Approx(4));
    CHECK(plan.totals.removed_points() == doctest::Approx(8).epsilon(1e-6));
}

TEST_CASE("a good cell grows over poorer ones to the smallest size if it still pays")
{
    // One cell saves 9, its neighbours 1 each: four cells save 12 for 4, and 9 alone are no unit.
    const PlanGrid grid = make_ground({"9###"});
    const PricePlan four = plan_within(grid, {4, 5, 0}, 4, 3, threads(1));
    CHECK(four.totals.conifer_m2() == doctest::Approx(4));
    const PricePlan five = plan_within(grid, {5, 5, 0}, 4, 3, threads(1));
    CHECK(five.totals.units == 0);
}

TEST_CASE("what is left of a budget goes to whole units of the next price, never to a part of one")
{
    const PlanGrid grid = make_ground({"3333.......222222.......1111"});
    const PricePlan plan = plan_within(grid, {4, 1, 0}, 8.5, 3, threads(1));
    CHECK(plan.totals.units == 2); // 4 of 3 points, then 4 of 1 point: six would not fit
    CHECK(plan.totals.cost == doctest::Approx(8));
    const PricePlan ten = plan_within(grid, {4, 1, 0}, 10, 3, threads(1));
    CHECK(ten.totals.removed_points() == doctest::Approx(24).epsilon(1e-6));
}

TEST_CASE("units keep the rules, and the plan keeps the budget and its bounds")
{
    for (const unsigned seed : {11U, 12U})
        for (const double share : {0.01, 0.05, 0.3, 1.0})
            for (const double fixed : {0.0, 2.0}) {
                CAPTURE(seed);
                CAPTURE(share);
                CAPTURE(fixed);
                PlanGrid grid = make_random_ground(seed, 160, 430);
                const UnitRules rules{12, 3, fixed, 400};
                const double budget = share * all_cost(grid);
                const Supply supply{grid, 3, threads(1)};
                const Bounds bounds = bounds_of(grid, rules, budget, supply, {25, 50},
                                                links_of(grid, rules.gap_m), threads(2));
                const PricePlan plan = plan_within(grid, rules, budget, 3, threads(2));
                CHECK(plan.totals.cost <= budget * (1 + 1e-12));
                CHECK(plan.totals.removed_points() <= bounds.reachable * (1 + 1e-9));
                CHECK(bounds.reachable <= bounds.fractional * (1 + 1e-9));
                CHECK(bounds.larger[0].most_points <= bounds.reachable * (1 + 1e-9));
                CHECK(bounds.larger[1].most_points <= bounds.larger[0].most_points * (1 + 1e-9));
                std::int64_t points = 0;
                for (const Unit& unit : plan.units) {
                    CHECK(unit.conifer >= rules.smallest());
                    points += unit.points;
                }
                CHECK(points == plan.totals.points);
            }
}

TEST_CASE("the same plan for any number of threads")
{
    const PlanGrid grid = make_random_ground(21, 200, 400);
    const double budget = 0.1 * all_cost(grid);
    const PricePlan one = plan_within(grid, {10, 5, 0}, budget, 3, threads(1));
    for (const std::size_t jobs : {2U, 7U}) {
        CAPTURE(jobs);
        const PricePlan plan = plan_within(grid, {10, 5, 0}, budget, 3, threads(jobs));
        CHECK(plan.totals.points == one.totals.points);
        CHECK(plan.totals.cost == one.totals.cost);
        CHECK(cells_of(plan) == cells_of(one));
    }
}

TEST_CASE("where blocks meet changes no plan")
{
    const PlanGrid here = make_random_ground(31, 120, 100);
    const PlanGrid there = make_random_ground(31, 120, 450); // across four blocks
    const double budget = 0.1 * all_cost(here);
    const PricePlan a = plan_within(here, {15, 4, 0}, budget, 3, threads(1));
    const PricePlan b = plan_within(there, {15, 4, 0}, budget, 3, threads(1));
    CHECK(a.totals.points == b.totals.points);
    CHECK(a.totals.conifer_milli_m2 == b.totals.conifer_milli_m2);
    CHECK(a.totals.units == b.totals.units);
}

TEST_CASE("thinning to a residual share saves that much less for the same ground")
{
    const auto stand = [](std::int64_t, std::int64_t) { return GroundCell{1, 10'000, 2, 0}; };
    const PlanGrid cleared = make_ground(0, 0, 5, 5, stand);
    const PlanGrid thinned = make_ground(0, 0, 5, 5, stand, {0, 1}, 0.2);
    const PricePlan all = plan_within(cleared, {}, 25, 3, threads(1));
    const PricePlan part = plan_within(thinned, {}, 25, 3, threads(1));
    CHECK(part.totals.conifer_milli_m2 == all.totals.conifer_milli_m2);
    CHECK(part.totals.removed_points() ==
          doctest::Approx(0.8 * all.totals.removed_points()).epsilon(1e-6)); // keys are floats
}

TEST_CASE("a plan of the first rings takes no cell of the others")
{
    const PlanGrid grid = make_random_ground(41, 120);
    const PricePlan plan = plan_within(grid, {4, 5, 0}, 0.3 * all_cost(grid), 1, threads(1));
    std::size_t outer = 0;
    const auto cells = cells_of(plan);
    for (const auto& [row, col] : cells) // make_random_ground
        outer += (row + col) % 4 > 1 ? 1 : 0;
    CHECK(!cells.empty());
    CHECK(outer == 0);
}

} // namespace fuelring::plan
