// SPDX-License-Identifier: Apache-2.0

// Years are filled like boxes: first fit, best value first. Sums are of whole steps, as rows show
// them, so no year is ever overspent. A unit that no year has room for is left out, and its ground
// is planned again in smaller pieces of budget.
#include "plan/terms/years.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace fuelring::plan {

namespace {

/// Rounded down, but for the last bits of a product.
std::int64_t budget_steps(double budget, const UnitRules& rules)
{
    return static_cast<std::int64_t>(std::floor(budget * rules.steps_per_cost + 1e-6));
}

class YearFiller {
public:
    YearFiller(const ChoiceGround& ground, const UnitRules& rules, const YearRules& years,
               const std::vector<Limit>& limits)
        : rest_(ground.copy()), rules_(rules), years_(years), limits_(limits)
    {
        for (const double budget : years.budgets)
            left_.push_back(budget_steps(budget, rules));
        for (Limit& limit : caps_ = limits)
            limit.at_least.reset();
    }

    bool place(Unit unit)
    {
        const std::int64_t cost = std::llround(unit.cost * rules_.steps_per_cost);
        const std::int64_t upkeep = upkeep_steps(unit, years_, rules_);
        for (std::size_t y = 0; y < left_.size(); ++y) {
            const bool kept_up =
                std::all_of(left_.begin() + static_cast<std::ptrdiff_t>(y) + 1, left_.end(),
                            [&](std::int64_t left) { return left >= upkeep; });
            if (left_[y] < cost || !kept_up)
                continue;
            left_[y] -= cost;
            for (std::size_t later = y + 1; later < left_.size(); ++later)
                left_[later] -= upkeep;
            unit.year = years_.first_year + static_cast<int>(y);
            placed_.push_back(std::move(unit));
            return true;
        }
        return false;
    }

    void place_all(std::vector<Unit> units)
    {
        sort_by_value(units);
        std::stable_partition(units.begin(), units.end(), [&](const Unit& unit) {
            return std::any_of(limits_.begin(), limits_.end(), [&](const Limit& limit) {
                return limit.at_least && limit.zones[unit.zone];
            });
        });
        for (Unit& unit : units)
            place(std::move(unit));
    }

    /// What is left of each year, on the ground that no unit has, within the caps.
    /// `given` of the placed units are not of this ground.
    void fill(std::size_t given)
    {
        rest_->take({placed_.begin() + static_cast<std::ptrdiff_t>(given), placed_.end()});
        for (std::size_t y = 0; y < left_.size(); ++y) {
            const double budget = static_cast<double>(left_[y]) / rules_.steps_per_cost;
            if (left_[y] <= 0)
                continue;
            LimitedPlan more = plan_within_limits(*rest_, rules_, budget, caps_, placed_);
            if (more.broken)
                return;
            sort_by_value(more.plan.units);
            for (Unit& unit : more.plan.units)
                if (place(unit))
                    rest_->take({unit});
        }
    }

    std::vector<Unit> take_placed() { return std::move(placed_); }

private:
    std::unique_ptr<ChoiceGround> rest_;
    const UnitRules& rules_;
    const YearRules& years_;
    const std::vector<Limit>& limits_;
    std::vector<Limit> caps_;
    std::vector<std::int64_t> left_; ///< by year, in steps
    std::vector<Unit> placed_;
};

std::vector<YearSums> sums_of(const std::vector<Unit>& units, const YearRules& years,
                              const UnitRules& rules)
{
    std::vector<YearSums> all;
    for (std::size_t y = 0; y < years.budgets.size(); ++y) {
        YearSums sums;
        sums.year = years.first_year + static_cast<int>(y);
        sums.budget = years.budgets[y];
        std::int64_t cost = 0;
        std::int64_t upkeep = 0;
        for (const Unit& unit : units) {
            const int age = sums.year - unit.year;
            if (age < 0)
                continue;
            sums.points += unit.removed_points() * std::pow(1 - years.regrowth, age);
            if (age > 0) {
                upkeep += upkeep_steps(unit, years, rules);
                continue;
            }
            ++sums.units;
            sums.conifer_milli_m2 += unit.conifer_in_milli_m2();
            sums.removed_points += unit.removed_points();
            cost += std::llround(unit.cost * rules.steps_per_cost);
        }
        sums.cost = static_cast<double>(cost) / rules.steps_per_cost;
        sums.upkeep = static_cast<double>(upkeep) / rules.steps_per_cost;
        all.push_back(sums);
    }
    return all;
}

} // namespace

std::int64_t upkeep_steps(const Unit& unit, const YearRules& years, const UnitRules& rules)
{
    const double upkeep = years.upkeep_per_m2 * unit.conifer_m2() * rules.steps_per_cost;
    return static_cast<std::int64_t>(std::ceil(upkeep * (1 - 1e-12) - 1e-6));
}

YearPlan plan_years(const ChoiceGround& ground, const UnitRules& rules, const YearRules& years,
                    const std::vector<Limit>& limits, const std::vector<Unit>& given)
{
    YearFiller filler{ground, rules, years, limits};
    YearPlan all;
    std::vector<Unit> first = given;
    sort_by_value(first);
    for (const Unit& unit : first)
        all.given_fit = filler.place(unit) && all.given_fit;
    if (!all.given_fit)
        return all;
    const double together = std::accumulate(years.budgets.begin(), years.budgets.end(), 0.0) -
                            totals_of(given, rules).cost;
    LimitedPlan whole = plan_within_limits(ground, rules, together, limits, given);
    if (whole.broken) {
        all.broken = whole.broken;
        all.found = whole.found;
        return all;
    }
    filler.place_all(std::move(whole.plan.units));
    filler.fill(given.size());
    all.plan.units = filler.take_placed();
    all.plan.totals = totals_of(all.plan.units, rules);
    all.years = sums_of(all.plan.units, years, rules);
    for (std::size_t k = 0; k < limits.size(); ++k)
        if (!keeps(limits[k], all.plan.units)) {
            all.broken = k;
            all.found = amount_of(limits[k], all.plan.units);
            break;
        }
    return all;
}

} // namespace fuelring::plan
