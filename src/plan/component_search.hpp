// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/disjoint_sets.hpp"
#include "plan/cell_window.hpp"
#include "plan/labelling.hpp"

#include <cstdint>
#include <vector>

namespace fuelring::plan {

/// Finds components in one block and its margin, which is as wide as a way may be long. One
/// worker's planes, kept from block to block; all arguments must outlive it.
/// Law: two selected cells of one zone are in one component where they share an edge or a way of at
/// most `rule.limit_cm` joins them, and where a chain of such cells does. What a block says of
/// cells does not depend on the other blocks.
/// Cost: linear in the cells of block and margin. Memory: nine bytes for each of them.
class ComponentSearch {
public:
    ComponentSearch(const PlanGrid& grid, const Selection& selection, const GapRule& rule);
    /// Parts of the block's own cells, numbered by their first cell by row and column, and links
    /// to the blocks of its margin.
    /// Empty where block and margin hold no selected cell.
    Labelling::BlockLabels run(std::size_t number);

private:
    struct Cell {
        std::int32_t at; ///< in the planes
        std::uint32_t block;
        std::uint32_t k;
    };
    static constexpr std::int32_t nobody = -1;

    /// Ground of a zone without conifers.
    bool open(std::int32_t at, ZoneId zone) const { return zone_[at] == zone && !closed_[at]; }

    /// Planes of the window; `load_cells` numbers the selected cells of a block.
    void load();
    void load_cells(const Block& block, const CellRect& part);
    void unite_neighbours(); ///< over edges
    /// Calls visit(other, way) for the cells one step away that a way of this zone may enter;
    /// selected cells among them.
    template <typename Visit>
    void steps(std::int32_t from, Visit&& visit) const;
    /// Cells from which a way can lead: those beside open ground.
    void find_edges();
    /// Territories first, then where they meet; why that is exact says the .cpp.
    void unite_over_gaps();
    /// Gives the neighbours of a cell its label, where the way over it is their shortest so far.
    void spread(std::int32_t from, int way);
    /// Unites two territories that meet at a cell, where both ways together are short enough.
    void meet(std::int32_t from);
    Component component_of(const Cell& cell) const;
    /// What only the margin holds is told as links, not as parts.
    Labelling::BlockLabels collect();
    void add_links(Labelling::BlockLabels& labels, const std::vector<std::uint32_t>& part_of);
    /// The number that a selected cell got; no territory ever covers it.
    std::int32_t number_of(const Cell& cell) const { return label_[cell.at]; }

    const PlanGrid& grid_;
    const Selection& selection_;
    const GapRule& rule_;
    std::int64_t margin_;
    int half_; ///< no territory is wider
    std::size_t number_ = 0;
    CellRect within_;   ///< the block and its margin
    CellWindow window_; ///< with a frame of one cell that belongs to no zone
    std::vector<Cell> cells_;
    std::vector<std::int32_t> touched_, edges_; ///< cells of ways, and cells that ways start from
    DisjointSets<std::int32_t> parts_;          ///< of cells_
    Plane<std::int32_t> label_; ///< a selected cell's number in cells_; of open ground, the nearest
    Plane<ZoneId> zone_;
    Plane<std::uint8_t> closed_; ///< 1 where conifers stand
    Plane<std::uint16_t> way_;   ///< from the nearest selected cell, centimetres
    WayQueue queue_;
};

} // namespace fuelring::plan
