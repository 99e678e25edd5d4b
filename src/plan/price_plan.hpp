// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/units.hpp"

namespace fuelring::plan {

/// What a plan takes and what it saves: sums over its units as they are written.
struct PlanTotals {
    std::int64_t conifer_milli_m2 = 0; ///< thousandths of a square metre
    std::int64_t points = 0;
    std::int64_t units = 0;
    double cost = 0;  ///< in units of the budget, fixed costs among it
    double money = 0; ///< 0 without costs

    /// Of the written numbers, hence in whole thousandths of a square metre.
    double conifer_m2() const { return static_cast<double>(conifer_milli_m2) / 1e3; }
    double conifer_ha() const { return static_cast<double>(conifer_milli_m2) / 1e7; }
    double removed_points() const { return points_unit * static_cast<double>(points); }
};

/// Whole steps are added, so that the sum is that of the written numbers, in any order.
/// Law: equals what a reader gets who adds up the rows of the written table.
PlanTotals totals_of(const std::vector<Unit>& units, const UnitRules& rules);

/// Units without bridges, and their sums.
struct PricePlan {
    std::vector<Unit> units;
    PlanTotals totals;
};

/// The plan of one price: components of the cells that are worth it, kept where they are large
/// enough and pay for themselves and for the fixed cost; the small ones grow over the next best
/// cells around. Then units as they will be written, pieces for a crew each, of which those stay
/// that pay for themselves and for a fixed cost of their own.
/// Requires: links of the grid, the gap of `rules` and the rings of the selection.
/// Law: depends on grid, selection and rules alone.
/// Source: the Lagrangian of budget and points (price_plan.cpp). Cost is not limited: that is the
/// search's part (treatment_plan.hpp). Units are none where nothing pays.
PricePlan plan_at_price(const PlanGrid& grid, const Selection& selection, const UnitRules& rules,
                        const GapLinks& links, const ShareOut& share_out);
/// Its sums alone: units are forgotten as they are made.
PlanTotals totals_at_price(const PlanGrid& grid, const Selection& selection, const UnitRules& rules,
                           const GapLinks& links, const ShareOut& share_out);

} // namespace fuelring::plan
