// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/price_plan.hpp"

#include <fuelring/footprint.hpp>

#include <cstdint>
#include <vector>

namespace fuelring::plan {

/// Cells of one row: columns [col, col + cols).
struct CellRun {
    std::int64_t row = 0;
    std::int64_t col = 0;
    std::int64_t cols = 0;
};

/// By row and column; runs that touch in a row become one.
void put_in_order(std::vector<CellRun>& runs);

/// A treatment unit: whole cells of one zone that share edges all through.
struct Unit {
    ZoneId zone = no_zone;
    std::vector<CellRun> treated; ///< by row, column
    std::vector<CellRun> bridges; ///< open cells that join them; nothing is cut there
    CellRect bridge_limit{};      ///< where bridges may run; anywhere where empty
    std::int64_t conifer = 0;     ///< conifer_unit_m2
    std::int64_t points = 0;      ///< points_unit
    std::int64_t cell_area = 0;   ///< sum over all its cells, 1e-5 m2
    double cost = 0;              ///< units of the budget, with the fixed cost

    double conifer_m2() const { return conifer_unit_m2 * static_cast<double>(conifer); }
    double removed_points() const { return points_unit * static_cast<double>(points); }
    double area_m2() const { return 1e-5 * static_cast<double>(cell_area); }
};

/// The units of a chosen set, best value for money first (ties by row, then column). What a gap
/// joins is one unit; what has more than `largest_m2` of conifer, or is longer than four times the
/// side of a square of that size, is cut along a lattice of such squares, where pieces below the
/// smallest size stay with a neighbour.
std::vector<Unit> units_of(const PlanGrid& grid, const CellSet& chosen, const UnitRules& rules,
                           double largest_m2, const ShareOut& share_out);

/// The outline of a patch of cells that share edges, in columns (x) and rows (y, downwards): every
/// loop has the cells to its right; loops are simple and touch in points at most.
std::vector<Loop> outline_of_cells(const std::vector<CellRun>& a, const std::vector<CellRun>& b);

} // namespace fuelring::plan
