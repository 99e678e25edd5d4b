// SPDX-License-Identifier: Apache-2.0

// Everything that a plan may have to keep to, at once, on random ground.
#include "ground.hpp"
#include "plan/terms/years.hpp"
#include "plan/treatment_plan.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cmath>
#include <map>

namespace fuelring::plan {

using namespace fuelring::test;

namespace {

constexpr std::int64_t side = 48;

/// A plan's ground and what it has to keep to. Zones 1 to 3 are land of one owner each, treated by
/// hand, 4 to 6 the same land where a machine can go; zone 2 and 5 are thinned.
struct Task {
    PlanGrid grid;
    UnitRules rules;
    YearRules years;
    std::vector<Limit> limits;
    std::vector<StripLine> strips; ///< none where units are patches
    std::vector<Unit> given;

    double budget() const
    {
        double sum = 0;
        for (const double of_year : years.budgets)
            sum += of_year;
        return sum;
    }
    std::unique_ptr<ChoiceGround> ground(double least_length_m) const
    {
        if (strips.empty())
            return std::make_unique<PatchGround>(grid, rules, threads(1));
        return std::make_unique<StripGround>(grid, rules, strips, least_length_m);
    }
};

class Dice {
public:
    explicit Dice(unsigned seed) : random_(seed) {}
    double between(double low, double high)
    {
        return low + (high - low) * static_cast<double>(random_() % 10'001) / 10'000;
    }
    bool one_in(unsigned n) { return random_() % n == 0; }
    std::size_t below(std::size_t n) { return random_() % n; }

private:
    std::mt19937 random_;
};

PlanGrid random_grid(unsigned seed, Dice& dice)
{
    const std::vector<double> cost{0,    dice.between(0.7, 1.3), dice.between(0.5, 2),
                                   1,    dice.between(0.2, 0.6), dice.between(0.1, 0.9),
                                   0.333};
    std::mt19937 cells{seed};
    return make_ground(
        0, 0, side, side,
        [&](std::int64_t row, std::int64_t col) {
            GroundCell cell;
            cell.zone = static_cast<ZoneId>(1 + col / 16 + (row < 24 ? 3 : 0));
            const bool conifers = cells() % 3 != 0 && row % 17 != 16;
            cell.share = static_cast<std::uint16_t>(conifers ? 2'000 + cells() % 8'001 : 0);
            cell.points = conifers ? 1e-4F * static_cast<float>(cell.share) *
                                         static_cast<float>(1 + cells() % 50) / 50
                                   : 0;
            return cell;
        },
        cost, 0.25);
}

/// Slices of 1 x 4 m across the ground, every ninth row.
std::vector<StripLine> lines_over(Dice& dice)
{
    std::vector<StripLine> lines;
    for (std::int64_t row = 2; row + 4 < side; row += 9) {
        StripLine& line = lines.emplace_back();
        for (std::int64_t col = 0; col < side; ++col) {
            StripSlice slice;
            slice.zone = static_cast<ZoneId>(1 + col / 16 + (row < 24 ? 3 : 0));
            slice.length_m = 1;
            slice.conifer = 1'000 * std::llround(dice.between(1e5, 4e6));
            slice.points = std::llround(dice.between(0, 3) / points_unit);
            slice.cell_area = 400'000;
            for (std::int64_t r = row; r < row + 4; ++r)
                slice.cells.push_back({r, col, 1});
            line.push_back(std::move(slice));
        }
    }
    return lines;
}

std::vector<Limit> random_limits(Dice& dice)
{
    std::vector<Limit> limits;
    const auto of_owner = [](std::size_t owner) {
        std::vector<std::uint8_t> zones(7);
        zones[owner] = zones[owner + 3] = 1;
        return zones;
    };
    if (!dice.one_in(3))
        limits.push_back({Limit::Of::points, of_owner(3), dice.between(0, 15), std::nullopt});
    if (!dice.one_in(3))
        limits.push_back({Limit::Of::money, of_owner(1), std::nullopt, dice.between(5, 90)});
    if (!dice.one_in(3))
        limits.push_back({Limit::Of::conifer_m2, {0, 0, 1, 1, 0, 1, 1}, dice.between(0, 40), 400});
    return limits;
}

/// What is required: two units on ground that is nobody's choice.
std::vector<Unit> random_given(const PlanGrid& grid, const UnitRules& rules, Dice& dice)
{
    std::vector<Unit> given;
    for (std::uint32_t k = 1; k <= dice.below(3); ++k) {
        Unit unit;
        unit.zone = static_cast<ZoneId>(1 + dice.below(6));
        unit.required = k;
        unit.treated = {{side + k, 0, 8}};
        unit.conifer = 1'000 * std::llround(dice.between(1e6, 8e6));
        unit.points = std::llround(dice.between(0, 5) / points_unit);
        set_cost(grid, rules, unit);
        given.push_back(std::move(unit));
    }
    return given;
}

Task random_task(unsigned seed)
{
    Dice dice{seed};
    PlanGrid grid = random_grid(seed, dice);
    const double fixed = dice.one_in(3) ? 0 : dice.between(0.5, 8);
    const UnitRules rules{.smallest_m2 = 4,
                          .gap_m = 2,
                          .fixed_cost = fixed,
                          .largest_m2 = 60,
                          .steps_per_cost = 100,
                          .fixed_money = fixed};
    YearRules years{2027, {}, dice.one_in(2) ? 0 : 0.02, dice.one_in(2) ? 0 : 0.1};
    for (std::size_t k = 0; k <= dice.below(3); ++k)
        years.budgets.push_back(std::floor(100 * dice.between(30, 250)) / 100);
    std::vector<StripLine> strips;
    if (seed % 3 == 0)
        strips = lines_over(dice);
    std::vector<Unit> given = random_given(grid, rules, dice);
    return {std::move(grid),   rules,           years, random_limits(dice),
            std::move(strips), std::move(given)};
}

/// Cents of a number as a table prints it.
std::int64_t printed_cents(double amount)
{
    return std::llround(100 * std::stod(fmt::format("{:.2f}", amount)));
}

/// Costs of the rows of each year, and upkeep of those before, as they are printed.
void check_years(const Task& task, const std::vector<Unit>& units)
{
    for (std::size_t y = 0; y < task.years.budgets.size(); ++y) {
        const int year = task.years.first_year + static_cast<int>(y);
        std::int64_t cents = 0;
        for (const Unit& unit : units) {
            if (unit.year == year)
                cents += printed_cents(unit.cost);
            if (unit.year < year)
                cents += upkeep_steps(unit, task.years, task.rules);
        }
        CHECK(cents <= printed_cents(task.years.budgets[y]));
    }
}

double all_points_of(const std::vector<Unit>& units)
{
    double points = 0;
    for (const Unit& unit : units)
        points += unit.removed_points();
    return points;
}

/// Points that no plan removes: what is required, and the most for the rest of all budgets.
double most_points(const Task& task, double least_length_m)
{
    double budget = task.budget();
    for (const Unit& unit : task.given)
        budget -= unit.cost;
    PlanGrid grid = task.grid;
    const Supply supply{grid, 3, threads(1)};
    const double most =
        task.strips.empty()
            ? bounds_of(grid, task.rules, budget, supply, {}, links_of(grid, task.rules.gap_m),
                        threads(1))
                  .reachable
            : StripGround{task.grid, task.rules, task.strips, least_length_m}.most_points(budget);
    return most + all_points_of(task.given);
}

void check_no_cell_twice(const std::vector<Unit>& units)
{
    std::map<std::pair<std::int64_t, std::int64_t>, int> times;
    for (const Unit& unit : units)
        if (!unit.strip.is_strip() && unit.required == 0)
            for (const CellRun& run : unit.treated)
                for (std::int64_t col = run.col; col < run.end(); ++col)
                    CHECK(++times[{run.row, col}] == 1);
}

} // namespace

TEST_CASE("60 random plans with required units, methods, thinning, fixed costs, floors, caps, "
          "years and strips: costs as printed within each budget, limits kept, bound above plan")
{
    std::size_t found = 0;
    std::size_t strips = 0;
    for (unsigned seed = 1; seed <= 60; ++seed) {
        CAPTURE(seed);
        const Task task = random_task(seed);
        const double least_length_m = 5;
        const YearPlan plan = plan_years(*task.ground(least_length_m), task.rules, task.years,
                                         task.limits, task.given);
        if (!plan.given_fit || plan.broken)
            continue; // a heuristic may find none
        ++found;
        strips += task.strips.empty() ? 0 : 1;
        const std::vector<Unit>& units = plan.plan.units;
        check_years(task, units);
        for (const Limit& limit : task.limits)
            CHECK(keeps(limit, units));
        CHECK(all_points_of(units) <= most_points(task, least_length_m) * (1 + 1e-6) + 1e-6);
        CHECK(std::count_if(units.begin(), units.end(), [](const Unit& unit) {
                  return unit.required > 0;
              }) == std::ssize(task.given));
        check_no_cell_twice(units);
        for (const Unit& unit : units)
            if (unit.strip.is_strip())
                CHECK(unit.strip.end - unit.strip.first >= least_length_m);
    }
    MESSAGE(found, " plans of 60, ", strips, " of strips");
    CHECK(found >= 30);
    CHECK(strips >= 8);
}

} // namespace fuelring::plan
