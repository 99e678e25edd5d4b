// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/bounds.hpp"
#include "plan/units.hpp"

#include <optional>
#include <vector>

namespace fuelring::plan {

/// Prices are lowered until the plan costs the budget, to a thousandth of it or to a single cell;
/// of those within the budget the plan that saves most is taken; then whole units of the next lower
/// price that stand apart from it and fit what is left are added, best first. Law: costs at most
/// `budget`, and depends on the arguments alone.
/// Unit: `budget` as PlanGrid's costs. Some 64 prices are tried at most; no units where the budget
/// buys none. A heuristic: `bounds_of` tells how much more could be saved at most.
/// Requires: links of the grid, the gap of `rules` and the rings that count.
PricePlan plan_within(const PlanGrid& grid, const UnitRules& rules, double budget,
                      const GapLinks& links, const ShareOut& share_out);
/// The same on the first rings up to `widest_ring`; finds the links that it needs.
PricePlan plan_within(const PlanGrid& grid, const UnitRules& rules, double budget, int widest_ring,
                      const ShareOut& share_out);
/// The same for each ring up to `widest_ring`, the last one with all `links`.
/// Requires: no cell of a ring further out.
std::vector<PricePlan> plans_by_ring(const PlanGrid& grid, const UnitRules& rules, double budget,
                                     int widest_ring, const GapLinks& links,
                                     const ShareOut& share_out);

/// One row of the benefit curve: the plan of one price.
struct CurvePoint {
    double price = 0; ///< points per unit of the budget
    PlanTotals totals;
    double most_points = 0; ///< the fractional bound at the same cost, without fixed costs
};
/// Shares of all costs at which the curve has points.
inline const std::vector<double> curve_shares{0.005, 0.01, 0.02, 0.03, 0.05, 0.075, 0.1, 0.15,
                                              0.2,   0.3,  0.4,  0.5,  0.6,  0.75,  0.9, 1};
/// From dear to cheap, to the end, where every cell is worth it that a unit can hold.
/// At most 16 points, close together where money is short.
std::vector<CurvePoint> benefit_curve(const PlanGrid& grid, const UnitRules& rules,
                                      const Supply& supply, const GapLinks& links,
                                      const ShareOut& share_out);

/// What no plan can beat at a smallest size: the bound over cells that can be in a unit at all.
struct SizeBound {
    double smallest_m2 = 0;
    double most_points = 0;
};

/// In points. Law: larger falls, or stays, as the size grows.
struct Bounds {
    double fractional = 0;           ///< cells by falling ratio, as if they could be had one by one
    double reachable = 0;            ///< at the smallest size and the gap; with the fixed cost
    std::vector<SizeBound> larger{}; ///< reachable at larger sizes, never above the smaller ones
};

/// The bounds of a budget; `larger_m2` rise from the smallest size on. Cells that no unit of the
/// smallest size can hold lose their keys, which changes no plan and saves time: call it before the
/// plans.
Bounds bounds_of(PlanGrid& grid, const UnitRules& rules, double budget, const Supply& supply,
                 const std::vector<double>& larger_m2, const GapLinks& links,
                 const ShareOut& share_out);

} // namespace fuelring::plan
