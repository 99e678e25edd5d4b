// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/terms/choice_ground.hpp"

#include <optional>
#include <vector>

namespace fuelring::plan {

/// A floor or a cap, or both, on what the units of some zones amount to together.
/// Unit of both: points of exposure, square metres of conifers, or money.
struct Limit {
    enum class Of { points, conifer_m2, money };
    Of of = Of::points;
    std::vector<std::uint8_t> zones; ///< by zone: 1 where its units count
    std::optional<double> at_least;
    std::optional<double> at_most;
};

/// What units amount to for a limit: the sum of the numbers that their rows show.
double amount_of(const Limit& limit, const std::vector<Unit>& units);
/// Whether they keep it, as a reader finds who adds up the rows. Law: a sum that equals the limit
/// in the decimals of the rows keeps it.
bool keeps(const Limit& limit, const std::vector<Unit>& units);

/// A plan that keeps limits, or the first limit that it was found to break.
struct LimitedPlan {
    PricePlan plan;                    ///< the units that were given are not in it
    std::optional<std::size_t> broken; ///< index of a limit that no plan was found to keep
    double found = 0;                  ///< what was found to amount to most for it (a floor), or
                                       ///< what the given units amount to (a cap)
};

/// Together with the units that are `given`, which are not of this ground, the plan keeps all
/// limits. Floors
/// that the best plan breaks are met first, as cheaply as can be; then zones above a cap are
/// planned anew within it; the rest of the budget goes to the rest of the ground.
/// Law: depends on the arguments alone. A heuristic: where it finds a limit broken, a plan that
/// keeps it may exist all the same. `budget`: without the cost of the given units.
LimitedPlan plan_within_limits(const ChoiceGround& ground, const UnitRules& rules, double budget,
                               const std::vector<Limit>& limits, const std::vector<Unit>& given);

} // namespace fuelring::plan
