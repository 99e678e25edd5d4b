// SPDX-License-Identifier: Apache-2.0
#include "ground.hpp"
#include "plan/treatment_plan.hpp"

#include <doctest/doctest.h>

namespace fuelring::plan {

using namespace fuelring::test;

TEST_CASE("the fractional bound takes cells by falling ratio, the last in part")
{
    const PlanGrid grid = make_ground({"9.5.1"});
    const Supply supply{grid, 3, threads(1)};
    constexpr double bin = 1e-3; // width of a bin of the keys
    CHECK(supply.most_points(1) == doctest::Approx(9).epsilon(bin));
    CHECK(supply.most_points(1.5) == doctest::Approx(9 + 2.5).epsilon(bin));
    CHECK(supply.most_points(2.25) == doctest::Approx(9 + 5 + 0.25).epsilon(bin));
    CHECK(supply.most_points(100) == doctest::Approx(15).epsilon(1e-6));
    CHECK(supply.most_points(0) == 0);
}

TEST_CASE("what is reachable leaves out conifers that no unit can hold")
{
    // A patch of 4 m2 and a single crown beyond the gap.
    PlanGrid grid = make_ground({"2222........9"});
    const Supply supply{grid, 3, threads(1)};
    const Bounds bounds =
        bounds_of(grid, {3, 5, 0}, 100, supply, {5}, links_of(grid, 5), threads(1));
    CHECK(bounds.fractional == doctest::Approx(17).epsilon(1e-6));
    CHECK(bounds.reachable == doctest::Approx(8).epsilon(1e-6));
    CHECK(bounds.larger.front().most_points == 0);
}

TEST_CASE("what larger sizes reach is what the bound says of these sizes alone")
{
    const std::vector<double> larger{10, 25, 60};
    PlanGrid grid = make_random_ground(17, 150);
    const Supply supply{grid, 3, threads(1)};
    const GapLinks links = links_of(grid, 3);
    const double budget = 0.2 * supply.all_cost();
    const Bounds bounds = bounds_of(grid, {4, 3, 0}, budget, supply, larger, links, threads(2));
    double above = bounds.reachable;
    for (std::size_t k = 0; k < larger.size(); ++k) {
        CAPTURE(larger[k]);
        PlanGrid again = make_random_ground(17, 150);
        const Bounds alone =
            bounds_of(again, {larger[k], 3, 0}, budget, supply, {}, links, threads(1));
        CHECK(bounds.larger[k].most_points == alone.reachable);
        CHECK(alone.reachable < above);
        above = alone.reachable;
    }
}

TEST_CASE("with a fixed cost the bound knows that each patch pays it")
{
    // Two patches of 4 m2 and 8 points each; a unit costs 4 and 6 more. Budget 10: one of them.
    // min over p of 10 p + 2 max(0, 8 - 4 p - 6 p): at p = 0.8 it is 8.
    PlanGrid grid = make_ground({"2222......2222"});
    const Supply supply{grid, 3, threads(1)};
    const UnitRules rules{4, 5, 6};
    const Bounds bounds =
        bounds_of(grid, rules, 10, supply, {}, links_of(grid, rules.gap_m), threads(1));
    CHECK(bounds.reachable == doctest::Approx(8).epsilon(1e-3));
    const PricePlan plan = plan_within(grid, rules, 10, 3, threads(1));
    CHECK(plan.totals.units <= 1);
}

TEST_CASE("the curve rises in cost and in what it saves, to all that units can hold")
{
    PlanGrid grid = make_random_ground(51, 150);
    const Supply supply{grid, 3, threads(1)};
    const UnitRules rules{10, 5, 0};
    const Bounds bounds =
        bounds_of(grid, rules, 1e9, supply, {}, links_of(grid, rules.gap_m), threads(1));
    const std::vector<CurvePoint> curve =
        benefit_curve(grid, rules, supply, links_of(grid, rules.gap_m), threads(1));
    REQUIRE(curve.size() > 5);
    for (std::size_t k = 1; k < curve.size(); ++k) {
        CAPTURE(k);
        CHECK(curve[k].price < curve[k - 1].price);
        CHECK(curve[k].totals.removed_points() <= curve[k].most_points * (1 + 1e-6));
    }
    CHECK(curve.back().totals.removed_points() == doctest::Approx(bounds.reachable).epsilon(1e-6));
}

} // namespace fuelring::plan
