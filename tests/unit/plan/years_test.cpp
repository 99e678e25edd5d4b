// SPDX-License-Identifier: Apache-2.0

// Work that takes several years.
#include "ground.hpp"
#include "plan/terms/years.hpp"

#include <doctest/doctest.h>

#include <cmath>

namespace fuelring::plan {

using namespace fuelring::test;

namespace {

/// 10 x 40 m2 of conifers, the points of a square metre fall from left to right.
PlanGrid slope_of_gain()
{
    return make_ground(0, 0, 10, 40, [](std::int64_t, std::int64_t col) {
        return GroundCell{1, 10'000, static_cast<float>(40 - col), 0};
    });
}

} // namespace

TEST_CASE("the best land comes first, and each year spends its budget")
{
    const PlanGrid grid = slope_of_gain();
    const UnitRules rules{.smallest_m2 = 4, .largest_m2 = 20};
    const YearRules years{2027, {100, 100, 100}, 0, 0.1};
    const YearPlan plan = plan_years(PatchGround{grid, rules, threads(1)}, rules, years, {}, {});
    REQUIRE_FALSE(plan.broken);
    REQUIRE(plan.years.size() == 3);
    // Ten columns of ten cells a year: 40 + 39 + ... + 31 points in each row, and so on.
    const double best[] = {10 * 355, 10 * 255, 10 * 155};
    double stands = 0;
    double removed = 0;
    double most = 0;
    for (std::size_t y = 0; y < 3; ++y) {
        CHECK(plan.years[y].year == 2027 + static_cast<int>(y));
        CHECK(plan.years[y].cost <= 100);
        CHECK(plan.years[y].cost >= 80);
        CHECK((removed += plan.years[y].removed_points) <= (most += best[y]));
        stands = stands * (1 - 0.1) + plan.years[y].removed_points;
        CHECK(plan.years[y].points == doctest::Approx(stands).epsilon(1e-12));
    }
    CHECK(plan.years[0].removed_points >= 0.9 * best[0]);
}

TEST_CASE("upkeep comes out of the budgets of later years")
{
    const PlanGrid grid = slope_of_gain();
    const UnitRules rules{.smallest_m2 = 4, .largest_m2 = 20};
    const YearRules years{2027, {100, 10, 10}, 0.1, 0};
    const YearPlan plan = plan_years(PatchGround{grid, rules, threads(1)}, rules, years, {}, {});
    // 100 m2 cost 10 a year from then on: nothing more can be done.
    CHECK(plan.years[0].cost <= 100);
    CHECK(plan.years[0].cost >= 80);
    for (std::size_t y = 1; y < 3; ++y) {
        CHECK(plan.years[y].upkeep >= 8);
        CHECK(plan.years[y].cost + plan.years[y].upkeep <= 10);
    }
}

TEST_CASE("what is given must fit into a year")
{
    const PlanGrid grid = slope_of_gain();
    const UnitRules rules{};
    Unit given;
    given.zone = 1;
    given.treated = {{0, 0, 10}};
    given.conifer = 10'000'000'000;
    given.points = 1;
    given.cost = 10;
    CHECK(
        plan_years(PatchGround{grid, rules, threads(1)}, rules, {2027, {5, 12}, 0, 0}, {}, {given})
            .given_fit);
    CHECK_FALSE(
        plan_years(PatchGround{grid, rules, threads(1)}, rules, {2027, {5, 9}, 0, 0}, {}, {given})
            .given_fit);
}

} // namespace fuelring::plan
