// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/disjoint_sets.hpp"
#include "plan/labelling.hpp"
#include "plan/plan_grid.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <vector>

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

/// Finds components in one block and its margin. One worker's planes, kept from block to block.
class ComponentSearch {
public:
    ComponentSearch(const PlanGrid& grid, const Selection& selection, const GapRule& rule);
    Labelling::BlockLabels run(std::size_t number);

private:
    struct Cell {
        std::int32_t at; ///< in the planes
        std::uint32_t block;
        std::uint32_t k;
    };
    static constexpr std::int32_t nobody = -1;

    std::int32_t at(std::int64_t row, std::int64_t col) const
    {
        return static_cast<std::int32_t>((row - rect_.row) * rect_.cols + (col - rect_.col));
    }
    std::int64_t row_of(std::int32_t at) const { return rect_.row + at / rect_.cols; }
    std::int64_t col_of(std::int32_t at) const { return rect_.col + at % rect_.cols; }
    ZoneId zone(std::int32_t at) const { return zone_[static_cast<std::size_t>(at)]; }
    bool open(std::int32_t at, ZoneId zone) const
    {
        return zone_[static_cast<std::size_t>(at)] == zone &&
               closed_[static_cast<std::size_t>(at)] == 0;
    }

    void load();
    void load_cells(const Block& block, const CellRect& part);
    void load_ground(const Block& block, const CellRect& part);
    void unite_neighbours();
    /// Calls visit(other, way) for the cells one step away that a way of this zone may enter;
    /// selected cells among them.
    template <typename Visit>
    void steps(std::int32_t from, Visit&& visit) const;
    void find_edges();
    void unite_over_gaps();
    void reach(std::int32_t from, int way);
    void meet(std::int32_t from);
    Component component_of(const Cell& cell) const;
    Labelling::BlockLabels collect();
    void add_links(Labelling::BlockLabels& labels, const std::vector<std::uint32_t>& part_of);
    /// The number that a selected cell got; no territory ever covers it.
    std::int32_t number_of(const Cell& cell) const
    {
        return label_[static_cast<std::size_t>(cell.at)];
    }

    const PlanGrid& grid_;
    const Selection& selection_;
    const GapRule& rule_;
    std::int64_t margin_;
    int half_; ///< no territory is wider
    std::size_t number_ = 0;
    CellRect within_; ///< the block and its margin
    CellRect rect_;   ///< with a frame of one cell that belongs to no zone
    std::vector<Cell> cells_;
    std::vector<std::int32_t> label_, touched_, edges_;
    DisjointSets<std::int32_t> parts_; ///< of cells_
    std::vector<ZoneId> zone_;
    std::vector<std::uint8_t> closed_;
    std::vector<std::uint16_t> way_;
    std::vector<std::vector<std::int32_t>> buckets_;
};

} // namespace fuelring::plan
