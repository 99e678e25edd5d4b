// SPDX-License-Identifier: Apache-2.0

// Random plans with fixed costs and cuts, judged by the numbers that are written of their units.
#include "ground.hpp"
#include "plan/terms/years.hpp"
#include "plan/treatment_plan.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
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
        some_of.fixed_money = some_of.fixed_cost;
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
        PlanGrid made{std::sqrt(cell_m2), std::sqrt(cell_m2), rates,
                      money ? rates : std::vector<double>{}};
        made.set_blocks({make_block({{0, 0, side, side}, cell_m2, zone, share, points, ring}, rates,
                                    std::vector<Residual>(rates.size()))});
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

void check_same(const PricePlan& a, const PricePlan& b)
{
    CHECK(a.totals.cost == b.totals.cost);
    CHECK(a.totals.points == b.totals.points);
    REQUIRE(a.units.size() == b.units.size());
    for (std::size_t u = 0; u < a.units.size(); ++u) {
        REQUIRE(a.units[u].treated.size() == b.units[u].treated.size());
        for (std::size_t k = 0; k < a.units[u].treated.size(); ++k)
            CHECK(a.units[u].treated[k].rect() == b.units[u].treated[k].rect());
    }
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
        const GapLinks links = links_of(draw.grid, draw.rules.gap_m);
        const Bounds bounds =
            bounds_of(draw.grid, draw.rules, draw.budget, supply, {}, links, threads(1));
        const PricePlan plan = plan_within(draw.grid, draw.rules, draw.budget, links, threads(1));
        CHECK(sum_of_rows(draw, plan) <= draw.budget + last_digits);
        CHECK(plan.totals.cost >= sum_of_rows(draw, plan) - last_digits);
        CHECK(plan.totals.cost <= draw.budget);
        CHECK(plan.totals.units == static_cast<std::int64_t>(plan.units.size()));
        CHECK(plan.totals.removed_points() <= bounds.reachable * (1 + 1e-6));
        CHECK(bounds.reachable <= bounds.fractional * (1 + 1e-6));
        dual += bounds.reachable < 0.9 * bounds.fractional ? 1 : 0;
        for (const Unit& unit : plan.units)
            cut += unit.bridge_limits.empty() ? 0 : 1;
        const std::vector<PricePlan> by_ring =
            plans_by_ring(draw.grid, draw.rules, draw.budget, 3, links, threads(1));
        for (int ring = 0; ring <= 3; ++ring) {
            CAPTURE(ring);
            const PricePlan& near = by_ring[static_cast<std::size_t>(ring)];
            CHECK(sum_of_rows(draw, near) <= draw.budget + last_digits);
            CHECK(near.totals.removed_points() <= bounds.reachable * (1 + 1e-6));
            const GapLinks all{draw.grid, draw.rules.gap_m, ring, threads(1)};
            check_same(near, plan_within(draw.grid, draw.rules, draw.budget, all, threads(1)));
        }
        for (const CurvePoint& point :
             benefit_curve(draw.grid, draw.rules, supply, links, threads(1))) {
            CHECK(point.totals.removed_points() <= point.most_points * (1 + 1e-6));
            if (seed % 10 != 0)
                continue;
            Selection selection;
            selection.price.key = key_of(point.price);
            const PricePlan same =
                plan_at_price(draw.grid, selection, draw.rules, links, threads(1));
            CHECK(point.totals.cost >= sum_of_rows(draw, same) - last_digits);
        }
    }
    CHECK(cut > random_plans);      // pieces of units that were too large are among them
    CHECK(dual > random_plans / 6); // and budgets that fixed costs eat up
}

namespace {

/// What the rows of the zones of a limit add up to.
double sum_of_rows(const Limit& limit, const std::vector<Unit>& units)
{
    double sum = 0;
    for (const Unit& unit : units)
        if (limit.zones[unit.zone])
            sum += std::stod(
                limit.of == Limit::Of::points  ? fmt::format("{:.4f}", unit.removed_points())
                : limit.of == Limit::Of::money ? fmt::format("{:.2f}", unit.money)
                                               : fmt::format("{:.3f}", unit.conifer_m2()));
    return sum;
}

/// A floor between what a plan does anyway in some zones and what it could do there, or a cap.
Limit some_limit(const Draw& draw, std::mt19937& random, const std::vector<Unit>& units)
{
    Limit limit;
    limit.of = random() % 3 == 0 && draw.money ? Limit::Of::money
               : random() % 2 == 0             ? Limit::Of::points
                                               : Limit::Of::conifer_m2;
    limit.zones = {0, 0, 0, 0};
    limit.zones[1 + random() % 3] = 1;
    const double amount = amount_of(limit, units);
    const double share = static_cast<double>(random() % 1'000) / 1'000;
    if (random() % 2 == 0) {
        limit.at_most = share * amount;
        return limit;
    }
    PatchGround ground{draw.grid, draw.rules, threads(1)};
    ground.close(limit.zones, false);
    const double possible = amount_of(limit, ground.within(draw.budget));
    limit.at_least = amount + 0.6 * share * std::max(0.0, possible - amount);
    return limit;
}

void check_limits(const std::vector<Limit>& limits, const std::vector<Unit>& units)
{
    for (const Limit& limit : limits) {
        const double sum = sum_of_rows(limit, units);
        CHECK(sum >= limit.at_least.value_or(0) - last_digits);
        CHECK(sum <= limit.at_most.value_or(HUGE_VAL) + last_digits);
        CHECK(keeps(limit, units));
    }
}

/// No year is overspent, upkeep included, and what stands removed follows the formula.
void check_years(const Draw& draw, const YearRules& years, const YearPlan& plan)
{
    REQUIRE(plan.years.size() == years.budgets.size());
    for (std::size_t y = 0; y < years.budgets.size(); ++y) {
        const int year = years.first_year + static_cast<int>(y);
        double spent = 0;
        double stands = 0;
        for (const Unit& unit : plan.plan.units) {
            CHECK(unit.year >= years.first_year);
            if (unit.year == year)
                spent += written(draw, unit);
            else if (unit.year < year)
                spent += years.upkeep_per_m2 * unit.conifer_m2(); // at least
            if (unit.year <= year)
                stands += unit.removed_points() * std::pow(1 - years.regrowth, year - unit.year);
        }
        CHECK(spent <= years.budgets[y] + last_digits);
        CHECK(plan.years[y].cost + plan.years[y].upkeep >= spent - last_digits);
        CHECK(plan.years[y].cost + plan.years[y].upkeep <= years.budgets[y] + last_digits);
        CHECK(plan.years[y].points == doctest::Approx(stands).epsilon(1e-9));
    }
}

YearRules some_years(const Draw& draw, std::mt19937& random)
{
    const auto some = [&](double from, double to) {
        return from + (to - from) * static_cast<double>(random() % 1'000) / 1e3;
    };
    YearRules years{2027, {}, draw.money ? some(0, 0.1) : 0, some(0, 0.2)};
    const std::vector<double> shares{some(0.2, 1), some(0.2, 1), some(0, 1)};
    for (const double share : shares)
        years.budgets.push_back(draw.budget * share / (shares[0] + shares[1] + shares[2]));
    return years;
}

} // namespace

TEST_CASE("300 random plans with floors, caps and years keep them, within the budget and the bound")
{
    std::size_t kept = 0;
    std::size_t bound_by_them = 0;
    std::size_t later = 0;
    for (unsigned seed = 1; seed <= random_plans; ++seed) {
        CAPTURE(seed);
        Draw draw{seed};
        std::mt19937 random{seed};
        const Supply supply{draw.grid, 3, threads(1)};
        const Bounds bounds = bounds_of(draw.grid, draw.rules, draw.budget, supply, {},
                                        links_of(draw.grid, draw.rules.gap_m), threads(1));
        const PatchGround ground{draw.grid, draw.rules, threads(1)};
        const std::vector<Unit> free = ground.within(draw.budget);
        std::vector<Limit> limits;
        for (std::size_t k = 0; k < seed % 4; ++k)
            limits.push_back(some_limit(draw, random, free));
        PricePlan plan;
        if (seed % 2 == 0) {
            const YearRules years = some_years(draw, random);
            YearPlan over_years = plan_years(ground, draw.rules, years, limits, {});
            if (over_years.broken)
                continue;
            check_years(draw, years, over_years);
            for (const Unit& unit : over_years.plan.units)
                later += unit.year > years.first_year ? 1 : 0;
            plan = std::move(over_years.plan);
        } else {
            LimitedPlan limited = plan_within_limits(ground, draw.rules, draw.budget, limits, {});
            if (limited.broken)
                continue;
            plan = std::move(limited.plan);
        }
        ++kept;
        CHECK(sum_of_rows(draw, plan) <= draw.budget + last_digits);
        CHECK(plan.totals.removed_points() <= bounds.reachable * (1 + 1e-6));
        check_limits(limits, plan.units);
        bound_by_them += std::all_of(limits.begin(), limits.end(),
                                     [&](const Limit& limit) { return keeps(limit, free); })
                             ? 0
                             : 1;
    }
    CAPTURE(kept);
    CAPTURE(bound_by_them);
    CHECK(kept > random_plans * 2 / 3);
    CHECK(bound_by_them > random_plans / 5);
    CHECK(later > random_plans);
}

TEST_CASE("a stand that is cut pays for each piece, and the bound knows it")
{
    // 40 x 40 m2 of equal conifers, 1 point and 1 of money each, in pieces of at most 400 m2 that
    // pay 100 each: 1,000 pays for two pieces (2 x 500), and for no more points than 800.
    const auto stand = [](std::int64_t, std::int64_t) { return GroundCell{1, 10'000, 1, 0}; };
    PlanGrid grid = make_ground(0, 0, 40, 40, stand);
    const UnitRules rules{.smallest_m2 = 10, .fixed_cost = 100, .largest_m2 = 400};
    const Supply supply{grid, 3, threads(1)};
    const Bounds bounds =
        bounds_of(grid, rules, 1'000, supply, {}, links_of(grid, rules.gap_m), threads(1));
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
