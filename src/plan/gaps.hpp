// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/plan_grid.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace fuelring::plan {

/// How far a unit may reach over open ground, in whole centimetres of way from centre to centre.
/// Open ground has no conifers and belongs to the unit's zone. A way goes from cell to cell; aslant
/// only beside an open cell, so that whole cells join it without a squeeze between two corners.
struct GapRule {
    int width_cm;
    int height_cm;
    int slant_cm;
    int limit_cm; ///< of a way between two conifer cells: the gap and one cell

    GapRule(const PlanGrid& grid, double gap_m)
        : width_cm(in_cm(grid.cell_width_m())), height_cm(in_cm(grid.cell_height_m())),
          slant_cm(in_cm(std::hypot(grid.cell_width_m(), grid.cell_height_m()))),
          limit_cm(std::min(in_cm(gap_m) + std::max(width_cm, height_cm), longest_cm))
    {}
    int step_cm(int row_step, int col_step) const
    {
        return row_step == 0 ? width_cm : col_step == 0 ? height_cm : slant_cm;
    }
    /// Cells beyond which nothing of a way lies.
    int reach_cells() const { return limit_cm / std::min(width_cm, height_cm) + 2; }

private:
    static constexpr int longest_cm = 120'000; ///< half of it fits 16 bits
    static int in_cm(double metres)
    {
        return std::max(1, static_cast<int>(std::lround(100 * metres)));
    }
};

struct Step {
    int row;
    int col;
};
inline constexpr std::array<Step, 8> all_steps{
    {{-1, 0}, {0, -1}, {0, 1}, {1, 0}, {-1, -1}, {-1, 1}, {1, -1}, {1, 1}}};

} // namespace fuelring::plan
