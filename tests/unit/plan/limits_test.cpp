// SPDX-License-Identifier: Apache-2.0

// Floors and caps on the zones of a plan.
#include "ground.hpp"
#include "plan/terms/limits.hpp"
#include "plan/treatment_plan.hpp"

#include <doctest/doctest.h>

#include <algorithm>

namespace fuelring::plan {

using namespace fuelring::test;

namespace {

/// Zones 1, 2 and 3 side by side, 20 columns each: a cell of zone z saves 1 / z points.
PlanGrid three_stands()
{
    return make_ground(0, 0, 20, 60, [](std::int64_t, std::int64_t col) {
        const auto zone = static_cast<ZoneId>(1 + col / 20);
        return GroundCell{zone, 10'000, 1.0F / static_cast<float>(zone), 0};
    });
}

Limit limit_of(std::vector<std::uint8_t> zones, Limit::Of of, std::optional<double> at_least,
               std::optional<double> at_most)
{
    return {of, std::move(zones), at_least, at_most};
}

double points_of(const PricePlan& plan, ZoneId zone)
{
    double points = 0;
    for (const Unit& unit : plan.units)
        points += unit.zone == zone ? unit.removed_points() : 0;
    return points;
}

} // namespace

TEST_CASE("a floor takes from the best ground what it needs elsewhere")
{
    const PlanGrid grid = three_stands();
    const UnitRules rules{.smallest_m2 = 4, .largest_m2 = 16};
    const auto at = [&](const std::vector<Limit>& limits) {
        LimitedPlan plan =
            plan_within_limits(PatchGround{grid, rules, threads(1)}, rules, 300, limits, {});
        REQUIRE_FALSE(plan.broken);
        CHECK(plan.plan.totals.cost <= 300);
        return std::move(plan.plan);
    };
    CHECK(at({}).totals.removed_points() == doctest::Approx(300)); // all of it in zone 1
    const Limit floor = limit_of({0, 0, 0, 1}, Limit::Of::points, 20, std::nullopt);
    const PricePlan plan = at({floor});
    CHECK(keeps(floor, plan.units));
    // 20 points in zone 3 are 60 m2, give or take a unit of 16 m2.
    CHECK(points_of(plan, 3) <= 20 + 16 / 3.0);
    CHECK(plan.totals.removed_points() >= 300 - 76 + 20);
    CHECK(plan.totals.removed_points() <= 300 - 60 + 20 + 1e-6);
}

TEST_CASE("a cap leaves the rest of the budget to other ground")
{
    const PlanGrid grid = three_stands();
    const UnitRules rules{.smallest_m2 = 4, .largest_m2 = 16};
    for (const Limit::Of of : {Limit::Of::points, Limit::Of::conifer_m2}) {
        const Limit cap = limit_of({0, 1, 0, 0}, of, std::nullopt, 100);
        const LimitedPlan plan =
            plan_within_limits(PatchGround{grid, rules, threads(1)}, rules, 300, {cap}, {});
        REQUIRE_FALSE(plan.broken);
        CHECK(keeps(cap, plan.plan.units));
        CHECK(amount_of(cap, plan.plan.units) >= 100 - 16);
        CHECK(plan.plan.totals.cost <= 300);
        CHECK(plan.plan.totals.cost >= 300 - 16);
        CHECK(points_of(plan.plan, 2) >= (300 - 100 - 16) / 2.0);
    }
}

TEST_CASE("a floor that no plan reaches is told, with the most that was found")
{
    const PlanGrid grid = three_stands();
    const Limit floor = limit_of({0, 0, 0, 1}, Limit::Of::points, 120, std::nullopt);
    const LimitedPlan plan = plan_within_limits(
        PatchGround{grid, UnitRules{.smallest_m2 = 4, .largest_m2 = 16}, threads(1)},
        UnitRules{.smallest_m2 = 4, .largest_m2 = 16}, 300, {floor}, {});
    REQUIRE(plan.broken);
    CHECK(*plan.broken == 0);
    CHECK(plan.found >= 300 / 3.0 - 6);
    CHECK(plan.found <= 300 / 3.0 + 1e-6);
}

TEST_CASE("limits of one zone beside each other: floor and cap, points and hectares")
{
    const PlanGrid grid = three_stands();
    const UnitRules rules{.smallest_m2 = 4, .largest_m2 = 16};
    const std::vector<Limit> limits{limit_of({0, 1, 0, 0}, Limit::Of::conifer_m2, 50, 120),
                                    limit_of({0, 0, 1, 1}, Limit::Of::points, std::nullopt, 60),
                                    limit_of({0, 0, 0, 1}, Limit::Of::points, 12, std::nullopt)};
    const LimitedPlan plan =
        plan_within_limits(PatchGround{grid, rules, threads(1)}, rules, 300, limits, {});
    REQUIRE_FALSE(plan.broken);
    for (const Limit& limit : limits)
        CHECK(keeps(limit, plan.plan.units));
}

} // namespace fuelring::plan
