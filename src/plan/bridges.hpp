// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/units.hpp"

namespace fuelring::plan {

/// The open cells over which the patches of a unit are joined: the shortest ways, as few as it
/// takes (a minimum spanning tree), ties by row and column.
/// Law: treated and bridging cells together are one patch of cells that share edges.
/// Throws: std::logic_error where the gap does not join the unit.
/// Shape: runs by row, then column; none where the treated cells are one patch already.
/// Source: Kruskal, On the shortest spanning subtree of a graph, Proceedings of the American
/// Mathematical Society 7, 1956.
std::vector<CellRun> bridges_of(const PlanGrid& grid, const Unit& unit, double gap_m);

/// The treated cells in the parts that gaps within bridge_limits join; each a unit without sums.
/// Law: one part or more; they hold every treated cell once, in the order of their first cells.
std::vector<Unit> split_by_gaps(const PlanGrid& grid, const Unit& unit, double gap_m);

} // namespace fuelring::plan
