// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/disjoint_sets.hpp"
#include "plan/gaps.hpp"
#include "plan/labelling.hpp"

#include <cstdint>
#include <vector>

namespace fuelring::plan {

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
