// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/units.hpp"

namespace fuelring::plan {

/// The open cells over which the patches of a unit are joined: the shortest ways, as few as it
/// takes (a minimum spanning tree), ties by row and column.
/// Law: treated and bridging cells together are one patch of cells that share edges.
/// Throws: std::logic_error where the gap does not join the unit.
std::vector<CellRun> bridges_of(const PlanGrid& grid, const Unit& unit, double gap_m);

/// The treated cells in the parts that gaps within bridge_limits join; each a unit without sums.
std::vector<Unit> split_by_gaps(const PlanGrid& grid, const Unit& unit, double gap_m);

} // namespace fuelring::plan
