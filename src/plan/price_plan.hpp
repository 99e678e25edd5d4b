// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/labelling.hpp"

namespace fuelring::plan {

/// What makes a set of cells a unit that a crew can be sent to.
struct UnitRules {
    double smallest_m2 = 10; ///< of treated conifer; planning default
    double gap_m = 5;        ///< open ground that a unit may bridge; planning default
    double fixed_cost = 0;   ///< of each unit, in units of the budget

    std::int64_t smallest() const; ///< in conifer_unit_m2
};

/// What a plan takes and what it saves.
struct PlanTotals {
    std::int64_t conifer = 0;
    std::int64_t points = 0;
    std::int64_t units = 0;
    double cost = 0; ///< in units of the budget, fixed costs among it
    std::vector<std::int64_t> conifer_of_zone{};

    /// Conifers and points of some cells of a zone; cost and units are the caller's.
    void add(ZoneId zone, std::int64_t more_conifer, std::int64_t more_points);
    double conifer_m2() const { return conifer_unit_m2 * static_cast<double>(conifer); }
    double removed_points() const { return points_unit * static_cast<double>(points); }
};

/// The plan of one price: components of the cells that are worth it, kept where they are large
/// enough and pay for themselves and for the fixed cost; the small ones grow over the next best
/// cells around. `chosen`, where given, gets the cells.
/// Law: depends on grid, selection and rules alone.
PlanTotals plan_at_price(const PlanGrid& grid, const Selection& selection, const UnitRules& rules,
                         const ShareOut& share_out, CellSet* chosen = nullptr);

} // namespace fuelring::plan
