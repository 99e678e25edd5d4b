// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/terms/strip_ground.hpp"
#include "run/treat/ground/required_units.hpp"
#include "run/treat/ground/strip_lines.hpp"

#include <vector>

namespace fuelring {

/// Slices as a plan chooses among them, and what of each cell they hold.
struct StripLayout {
    std::vector<plan::StripLine> lines;
    std::vector<std::vector<std::vector<CellPart>>> parts; ///< by line and slice
};

/// What of some land is treated as a whole: a line of one slice for each of `units`.
StripLayout lay_blocks(std::vector<RequiredUnit> units);

/// Gives each slice the zone that has most of its conifers, and those alone. `units`: what slices
/// hold in each zone, RequiredUnit::area being the number of the slice. Slices without conifers
/// join what is on both sides where it has one zone and they are no longer than a gap together.
StripLayout lay_strips(const std::vector<SliceGround>& slices,
                       const std::vector<RequiredUnit>& units, double gap_m);

} // namespace fuelring
