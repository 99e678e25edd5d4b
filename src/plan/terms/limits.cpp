// SPDX-License-Identifier: Apache-2.0

// Limits are met one at a time, each on the ground of its zones alone: what is done for one is
// settled and leaves the rest of the ground and of the budget to the others.
#include "plan/terms/limits.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring::plan {

namespace {

constexpr double point_decimals = 1e4; ///< of the rows
constexpr double money_decimals = 100;
constexpr double conifer_decimals = 1e3;
constexpr Key highest_key = 0x7f7fffff; ///< the largest float

double decimals_of(Limit::Of of)
{
    return of == Limit::Of::points  ? point_decimals
           : of == Limit::Of::money ? money_decimals
                                    : conifer_decimals;
}

/// What the row of a unit shows, in whole steps of its last decimal.
std::int64_t steps_of(const Limit& limit, const Unit& unit)
{
    if (!limit.zones[unit.zone])
        return 0;
    switch (limit.of) {
    case Limit::Of::points:
        return std::llround(point_decimals * unit.removed_points());
    case Limit::Of::money:
        return std::llround(money_decimals * unit.money);
    default:
        return unit.conifer_in_milli_m2();
    }
}

std::int64_t steps_of(const Limit& limit, const std::vector<Unit>& units)
{
    std::int64_t steps = 0;
    for (const Unit& unit : units)
        steps += steps_of(limit, unit);
    return steps;
}

/// Limits in steps; rounding is to the side of the limit, but for the last bits of a product.
std::int64_t floor_of(const Limit& limit)
{
    return static_cast<std::int64_t>(
        std::ceil(limit.at_least.value_or(0) * decimals_of(limit.of) - 1e-6));
}
std::int64_t cap_of(const Limit& limit)
{
    return limit.at_most ? static_cast<std::int64_t>(
                               std::floor(*limit.at_most * decimals_of(limit.of) + 1e-6))
                         : INT64_MAX;
}

class LimitedSearch {
public:
    LimitedSearch(const ChoiceGround& ground, const UnitRules& rules, double budget,
                  const std::vector<Limit>& limits, const std::vector<Unit>& given)
        : rest_(ground.copy()), rules_(rules), left_(budget), limits_(limits), settled_(given),
          given_(given.size())
    {}

    LimitedPlan run()
    {
        std::vector<Unit> rest = rest_->within(left_);
        while (const auto broken = first_broken(rest)) {
            const Limit& limit = limits_[*broken];
            const bool is_floor = steps_of(limit, all_with(rest)) < floor_of(limit);
            if (!(is_floor ? meet_floor(limit) : keep_cap(limit, rest)))
                return {{}, broken, found_};
            rest = rest_->within(left_);
        }
        LimitedPlan plan;
        plan.plan.units = all_with(rest);
        plan.plan.units.erase(plan.plan.units.begin(),
                              plan.plan.units.begin() + static_cast<std::ptrdiff_t>(given_));
        plan.plan.totals = totals_of(plan.plan.units, rules_);
        return plan;
    }

private:
    std::vector<Unit> all_with(const std::vector<Unit>& units) const
    {
        std::vector<Unit> all = settled_;
        all.insert(all.end(), units.begin(), units.end());
        return all;
    }

    /// Floors come before caps: what is needed is settled before what is left is spent.
    std::optional<std::size_t> first_broken(const std::vector<Unit>& units) const
    {
        const std::vector<Unit> all = all_with(units);
        for (std::size_t k = 0; k < limits_.size(); ++k)
            if (steps_of(limits_[k], all) < floor_of(limits_[k]))
                return k;
        for (std::size_t k = 0; k < limits_.size(); ++k)
            if (steps_of(limits_[k], all) > cap_of(limits_[k]))
                return k;
        return std::nullopt;
    }

    /// Those that the caps and the budget have room for beside what is settled, best value first.
    std::vector<Unit> with_room(std::vector<Unit> units) const
    {
        sort_by_value(units);
        std::vector<std::int64_t> room;
        for (const Limit& limit : limits_)
            room.push_back(limit.at_most ? cap_of(limit) - steps_of(limit, settled_) : INT64_MAX);
        auto money = static_cast<std::int64_t>(left_ * rules_.steps_per_cost + 1e-6);
        std::vector<Unit> taken;
        for (Unit& unit : units) {
            const std::int64_t cost = std::llround(unit.cost * rules_.steps_per_cost);
            bool fits = cost <= money;
            for (std::size_t k = 0; k < limits_.size(); ++k)
                fits = fits && steps_of(limits_[k], unit) <= room[k];
            if (!fits)
                continue;
            money -= cost;
            for (std::size_t k = 0; k < limits_.size(); ++k)
                room[k] -= limits_[k].at_most ? steps_of(limits_[k], unit) : 0;
            taken.push_back(std::move(unit));
        }
        return taken;
    }

    std::unique_ptr<ChoiceGround> ground_of(const Limit& limit) const
    {
        std::unique_ptr<ChoiceGround> ground = rest_->copy();
        ground->close(limit.zones, false);
        return ground;
    }

    /// The highest price whose plan is still enough, as if plans of prices were nested: nearly so.
    template <typename Enough>
    static Key highest_enough(const ChoiceGround& ground, Enough&& enough)
    {
        Key low = 1;
        Key high = highest_key;
        while (high - low > 1) {
            const Key middle = low + (high - low) / 2;
            (enough(ground.at_price(middle)) ? low : high) = middle;
        }
        return low;
    }

    bool meet_floor(const Limit& limit)
    {
        const std::int64_t needed = floor_of(limit) - steps_of(limit, settled_);
        const std::unique_ptr<ChoiceGround> ground = ground_of(limit);
        const auto enough = [&](const std::vector<Unit>& units) {
            return steps_of(limit, units) >= needed;
        };
        std::vector<Unit> units = with_room(ground->at_price(highest_enough(*ground, enough)));
        if (!enough(units) && left_ > 0)
            units = with_room(ground->within(left_));
        if (!enough(units)) {
            found_ = static_cast<double>(steps_of(limit, units) + steps_of(limit, settled_)) /
                     decimals_of(limit.of);
            return false;
        }
        // What the floor can do without, the worst value first.
        sort_by_value(units);
        std::int64_t spare = steps_of(limit, units) - needed;
        for (std::size_t k = units.size(); k-- > 0;)
            if (const std::int64_t steps = steps_of(limit, units[k]); steps <= spare) {
                spare -= steps;
                units.erase(units.begin() + static_cast<std::ptrdiff_t>(k));
            }
        settle(std::move(units));
        return true;
    }

    bool keep_cap(const Limit& limit, const std::vector<Unit>& chosen)
    {
        const std::int64_t room = cap_of(limit) - steps_of(limit, settled_);
        found_ = static_cast<double>(steps_of(limit, settled_)) / decimals_of(limit.of);
        if (room < 0)
            return false;
        std::vector<Unit> of_limit = chosen;
        std::erase_if(of_limit, [&](const Unit& unit) { return !limit.zones[unit.zone]; });
        std::vector<Unit> best = with_room(std::move(of_limit));
        const std::unique_ptr<ChoiceGround> ground = ground_of(limit);
        const auto too_much = [&](const std::vector<Unit>& units) {
            return steps_of(limit, units) > room;
        };
        const Key too_low = highest_enough(*ground, too_much);
        for (const Key key : {too_low + 1, too_low}) {
            std::vector<Unit> units = with_room(ground->at_price(key));
            if (totals_of(units, rules_).points > totals_of(best, rules_).points)
                best = std::move(units);
        }
        rest_->close(limit.zones, true);
        settle(std::move(best));
        return true;
    }

    void settle(std::vector<Unit> units)
    {
        rest_->take(units);
        left_ = std::max(0.0, left_ - totals_of(units, rules_).cost);
        std::move(units.begin(), units.end(), std::back_inserter(settled_));
    }

    std::unique_ptr<ChoiceGround> rest_;
    const UnitRules& rules_;
    double left_; ///< of the budget
    const std::vector<Limit>& limits_;
    std::vector<Unit> settled_; ///< the given ones first
    std::size_t given_;
    double found_ = 0;
};

} // namespace

double amount_of(const Limit& limit, const std::vector<Unit>& units)
{
    return static_cast<double>(steps_of(limit, units)) / decimals_of(limit.of);
}

bool keeps(const Limit& limit, const std::vector<Unit>& units)
{
    const std::int64_t steps = steps_of(limit, units);
    return steps >= floor_of(limit) && steps <= cap_of(limit);
}

LimitedPlan plan_within_limits(const ChoiceGround& ground, const UnitRules& rules, double budget,
                               const std::vector<Limit>& limits, const std::vector<Unit>& given)
{
    return LimitedSearch{ground, rules, budget, limits, given}.run();
}

} // namespace fuelring::plan
