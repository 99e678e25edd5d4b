// SPDX-License-Identifier: Apache-2.0

// Strips along lines.
#include "ground.hpp"
#include "plan/terms/strip_ground.hpp"

#include <doctest/doctest.h>

#include <cmath>

namespace fuelring::plan {

using namespace fuelring::test;

namespace {

/// Slices of 1 m with these points, and 1 m2 of conifers each.
StripLine line_of(const std::vector<double>& points, ZoneId zone = 1)
{
    StripLine line;
    for (std::size_t k = 0; k < points.size(); ++k) {
        StripSlice slice;
        slice.zone = zone;
        slice.length_m = 1;
        slice.conifer = 1'000'000'000;
        slice.points = std::llround(points[k] / points_unit);
        slice.cells = {{0, static_cast<std::int64_t>(k), 1}};
        line.push_back(slice);
    }
    return line;
}

PlanGrid costs()
{
    return make_ground(0, 0, 1, 1, [](std::int64_t, std::int64_t) { return GroundCell{}; },
                       {0, 1, 2});
}

/// The most points of any set of stretches, slice by slice: tried one by one.
double best_by_hand(const StripLine& line, std::size_t from, std::size_t least, double budget,
                    double fixed)
{
    double best = 0;
    for (std::size_t first = from; first < line.size(); ++first)
        for (std::size_t end = first + least; end <= line.size(); ++end) {
            double points = 0;
            double cost = fixed;
            for (std::size_t k = first; k < end; ++k) {
                points += points_unit * static_cast<double>(line[k].points);
                cost += 1;
            }
            if (cost <= budget)
                best =
                    std::max(best, points + best_by_hand(line, end, least, budget - cost, fixed));
        }
    return best;
}

double points_of(const std::vector<Unit>& units)
{
    double points = 0;
    for (const Unit& unit : units)
        points += unit.removed_points();
    return points;
}

} // namespace

TEST_CASE("a straight edge of equal gain: length, area and points as the budget says")
{
    const PlanGrid grid = costs();
    const UnitRules rules{.fixed_cost = 5};
    const StripGround ground{grid, rules, {line_of(std::vector<double>(100, 0.5))}, 10};
    const std::vector<Unit> all = ground.within(1'000);
    REQUIRE(all.size() == 1);
    CHECK(all[0].conifer_m2() == 100);
    CHECK(all[0].removed_points() == doctest::Approx(50));
    CHECK(all[0].cost == 105);
    CHECK(all[0].treated.size() == 1);
    CHECK(all[0].treated[0].cols == 100);
    CHECK(ground.most_points(1'000) == doctest::Approx(50));
    CHECK(ground.within(14.9).empty()); // 10 m cost 15
}

TEST_CASE("300 random lines: within the budget, below the bound, near the best of all choices")
{
    std::size_t best = 0;
    for (unsigned seed = 1; seed <= 300; ++seed) {
        CAPTURE(seed);
        std::mt19937 random{seed};
        std::vector<double> points;
        for (int k = 0; k < 12; ++k)
            points.push_back(static_cast<double>(random() % 100) / 10);
        const StripLine line = line_of(points);
        const PlanGrid grid = costs();
        const UnitRules rules{.fixed_cost = static_cast<double>(random() % 3)};
        const std::size_t least = 1 + random() % 4;
        const double budget = 2 + static_cast<double>(random() % 14);
        const StripGround ground{grid, rules, {line}, static_cast<double>(least)};
        const std::vector<Unit> units = ground.within(budget);
        double cost = 0;
        for (const Unit& unit : units) {
            CHECK(unit.strip.end - unit.strip.first >= least);
            cost += unit.cost;
        }
        CHECK(cost <= budget + 1e-6);
        const double most = best_by_hand(line, 0, least, budget, rules.fixed_cost);
        CHECK(points_of(units) <= most * (1 + 1e-9));
        CHECK(most <= ground.most_points(budget) * (1 + 1e-6) + 1e-6);
        best += points_of(units) >= 0.9 * most ? 1 : 0;
    }
    CHECK(best > 200);
}

TEST_CASE("a strip ends where another's land begins, and where it is taken")
{
    const PlanGrid grid = costs();
    const UnitRules rules{};
    StripLine line = line_of(std::vector<double>(30, 1));
    for (std::size_t k = 12; k < 30; ++k)
        line[k].zone = 2;
    StripGround ground{grid, rules, {line}, 10};
    std::vector<Unit> units = ground.within(1'000);
    REQUIRE(units.size() == 2);
    CHECK(units[0].conifer_m2() + units[1].conifer_m2() == 30);
    ground.close({0, 0, 1}, true);
    units = ground.within(1'000);
    REQUIRE(units.size() == 1);
    CHECK(units[0].zone == 1);
    ground.take(units);
    CHECK(ground.within(1'000).empty());
}

} // namespace fuelring::plan
