// SPDX-License-Identifier: Apache-2.0

// Random plans with fixed costs and cuts, judged by the numbers that are written of their units.
#include "ground.hpp"
#include "plan/treatment_plan.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cmath>

namespace fuelring::plan {

using namespace fuelring::test;

namespace {

/// A draw: ground in one small block, rules, a budget of money or of square metres.
struct Draw {
    std::mt19937 random;
    bool money;
    std::vector<double> rates;
    UnitRules rules;
    PlanGrid grid;
    double budget;

    explicit Draw(unsigned seed)
        : random(seed), money(seed % 3 != 0),
          rates(money ? std::vector<double>{0, some(0.1, 2), some(0.1, 2), some(0.1, 2)}
                      : std::vector<double>{0, 1, 1, 1}),
          rules(some_rules()), grid(some_ground()),
          budget(some(0.02, 1.2) * Supply{grid, 3, threads(1)}.all_cost())
    {}

private:
    unsigned any(unsigned below) { return static_cast<unsigned>(random()) % below; }
    double some(double from, double to) { return from + (to - from) * any(10'000) / 1e4; }

    UnitRules some_rules()
    {
        UnitRules some_of;
        some_of.smallest_m2 = some(0, 15);
        some_of.gap_m = some(0, 6);
        some_of.largest_m2 = std::max(4 * some_of.smallest_m2, some(20, 500));
        some_of.fixed_cost = money ? some(0, 30) : 0;
        some_of.steps_per_cost = money ? 100 : 1'000;
        return some_of;
    }

    /// Stands and hedges in strips of three zones; some roads.
    PlanGrid some_ground()
    {
        const std::int64_t side = 16 + any(48);
        const auto n = static_cast<std::size_t>(side * side);
        std::vector<ZoneId> zone(n);
        std::vector<std::uint16_t> share(n);
        std::vector<float> points(n);
        std::vector<std::uint8_t> ring(n);
        const unsigned cover = 2 + any(14);
        for (std::int64_t k = 0; k < side * side; ++k) {
            const std::int64_t row = k / side;
            const std::int64_t col = k % side;
            const auto i = static_cast<std::size_t>(k);
            zone[i] = row % 29 == 28 ? no_zone : static_cast<ZoneId>(1 + (col / 31) % 3);
            const bool stand = (row / 9 + col / 7) % 16 < cover && any(8) != 0;
            share[i] = stand ? static_cast<std::uint16_t>(1 + any(10'000)) : std::uint16_t{0};
            ring[i] = static_cast<std::uint8_t>((row + col) / 15 % 4);
            points[i] = 1e-4F * share[i] * (1 + static_cast<float>(any(100)) / 50) /
                        static_cast<float>(1 + ring[i]);
        }
        const double cell_m2 = some(0.5, 1.5);
        PlanGrid made{std::sqrt(cell_m2), std::sqrt(cell_m2), rates};
        made.set_blocks({make_block({{0, 0, side, side}, cell_m2, zone, share, points, ring}, rates,
                                    Residual{})});
        return made;
    }
};

/// What the row of a unit says in the column that the budget counts.
double written(const Draw& draw, const Unit& unit)
{
    return std::stod(draw.money ? fmt::format("{:.2f}", unit.cost)
                                : fmt::format("{:.3f}", unit.conifer_m2()));
}

/// The sum of the rows, which pay for what they hold and for a fixed cost each, to the step.
double sum_of_rows(const Draw& draw, const PricePlan& plan)
{
    double sum = 0;
    for (const Unit& unit : plan.units) {
        const double paid =
            draw.rates[unit.zone] * conifer_unit_m2 * static_cast<double>(unit.conifer) +
            draw.rules.fixed_cost;
        const double step = 1.0 / draw.rules.steps_per_cost;
        CHECK(written(draw, unit) >= paid - 0.5 * step - 1e-9);
        CHECK(written(draw, unit) <= paid + step);
        CHECK(unit.conifer >= draw.rules.smallest());
        CHECK(unit.conifer <= draw.rules.largest(draw.grid));
        sum += written(draw, unit);
    }
    return sum;
}

constexpr double last_digits = 1e-6; ///< of a sum of numbers with two or three decimals

/// Under the sanitizers a tenth of them, since a plan takes ten times as long there.
#ifdef UNDER_SANITIZER
constexpr unsigned random_plans = 30;
#else
constexpr unsigned random_plans = 300;
#endif

} // namespace

TEST_CASE("300 random plans with fixed costs and cuts: what is written stays within the budget")
{
    std::size_t cut = 0;
    std::size_t dual = 0;
    for (unsigned seed = 1; seed <= random_plans; ++seed) {
        CAPTURE(seed);
        Draw draw{seed};
        const Supply supply{draw.grid, 3, threads(1)};
        const Bounds bounds = bounds_of(draw.grid, draw.rules, draw.budget, supply, {}, threads(1));
        const PricePlan plan = plan_within(draw.grid, draw.rules, draw.budget, 3, threads(1));
        CHECK(sum_of_rows(draw, plan) <= draw.budget + last_digits);
        CHECK(plan.totals.cost >= sum_of_rows(draw, plan) - last_digits);
        CHECK(plan.totals.cost <= draw.budget);
        CHECK(plan.totals.units == static_cast<std::int64_t>(plan.units.size()));
        CHECK(plan.totals.removed_points() <= bounds.reachable * (1 + 1e-6));
        CHECK(bounds.reachable <= bounds.fractional * (1 + 1e-6));
        dual += bounds.reachable < 0.9 * bounds.fractional ? 1 : 0;
        for (const Unit& unit : plan.units)
            cut += unit.bridge_limits.empty() ? 0 : 1;
        for (int ring = 0; ring < 3; ++ring) {
            const PricePlan near =
                plan_within(draw.grid, draw.rules, draw.budget, ring, threads(1));
            CHECK(sum_of_rows(draw, near) <= draw.budget + last_digits);
            CHECK(near.totals.removed_points() <= bounds.reachable * (1 + 1e-6));
        }
        for (const CurvePoint& point : benefit_curve(draw.grid, draw.rules, supply, threads(1))) {
            CHECK(point.totals.removed_points() <= point.most_points * (1 + 1e-6));
            if (seed % 10 != 0)
                continue;
            Selection selection;
            selection.price.key = key_of(point.price);
            const PricePlan same = plan_at_price(draw.grid, selection, draw.rules, threads(1));
            CHECK(point.totals.cost >= sum_of_rows(draw, same) - last_digits);
        }
    }
    CHECK(cut > random_plans);      // pieces of units that were too large are among them
    CHECK(dual > random_plans / 6); // and budgets that fixed costs eat up
}

TEST_CASE("a stand that is cut pays for each piece, and the bound knows it")
{
    // 40 x 40 m2 of equal conifers, 1 point and 1 of money each, in pieces of at most 400 m2 that
    // pay 100 each: 1,000 pays for two pieces (2 x 500), and for no more points than 800.
    const auto stand = [](std::int64_t, std::int64_t) { return GroundCell{1, 10'000, 1, 0}; };
    PlanGrid grid = make_ground(0, 0, 40, 40, stand);
    const UnitRules rules{.smallest_m2 = 10, .fixed_cost = 100, .largest_m2 = 400};
    const Supply supply{grid, 3, threads(1)};
    const Bounds bounds = bounds_of(grid, rules, 1'000, supply, {}, threads(1));
    CHECK(bounds.fractional == doctest::Approx(1'000).epsilon(1e-3));
    CHECK(bounds.reachable == doctest::Approx(800).epsilon(1e-3));
    const PricePlan all = plan_within(grid, rules, 2'000, 3, threads(1));
    CHECK(all.units.size() == 4);
    CHECK(all.totals.cost == 2'000);
    const PricePlan half = plan_within(grid, rules, 1'000, 3, threads(1));
    CHECK(half.totals.cost <= 1'000);
    CHECK(half.totals.removed_points() <= bounds.reachable * (1 + 1e-6));
}

} // namespace fuelring::plan
