// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/terms/limits.hpp"

#include <cstdint>
#include <optional>
#include <vector>

namespace fuelring::plan {

/// The work of several years that follow each other, each with a budget of its own.
struct YearRules {
    int first_year = 0;
    std::vector<double> budgets; ///< by year, in units of the budget; at least one
    double upkeep_per_m2 = 0;    ///< of treated conifers, in each year after that of the treatment
    double regrowth = 0;         ///< share of what stands removed that is back after a year
};

/// What one year of a plan costs and does.
/// Law: cost + upkeep is at most the year's budget, as the sum of what rows show.
struct YearSums {
    int year = 0;
    double budget = 0;
    std::int64_t units = 0;
    std::int64_t conifer_milli_m2 = 0;
    double cost = 0;           ///< of the units treated in it
    double upkeep = 0;         ///< of those treated before
    double removed_points = 0; ///< that its own units remove
    double points = 0;         ///< that stand removed at its end: sum of p (1 - regrowth)^age
};

/// A plan whose units have years.
struct YearPlan {
    PricePlan plan;                    ///< the given units are in it, too
    std::vector<YearSums> years;       ///< one for each budget
    std::optional<std::size_t> broken; ///< as in LimitedPlan
    double found = 0;
    bool given_fit = true; ///< false: no year had room for a unit that was given
};

/// What a unit costs in each year after its own, in whole steps of the budget: rounded up.
std::int64_t upkeep_steps(const Unit& unit, const YearRules& years, const UnitRules& rules);

/// Units in the first year that has room for them and for their upkeep afterwards: those that are
/// given first, then those of zones with a floor, then by value, out of a plan for all budgets
/// together that keeps the limits; what then is left of a year is planned again.
/// Law: depends on the arguments alone; sums of rows keep budgets and limits. A heuristic.
YearPlan plan_years(const ChoiceGround& ground, const UnitRules& rules, const YearRules& years,
                    const std::vector<Limit>& limits, const std::vector<Unit>& given);

} // namespace fuelring::plan
