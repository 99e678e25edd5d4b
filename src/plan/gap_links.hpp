// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/plan_grid.hpp"

#include <cstdint>
#include <vector>

namespace fuelring::plan {

/// Pairs of conifer cells that a way over open ground joins: as few as tell, together with shared
/// edges, what hangs together at every price. Found once, since ways lead around conifers whether
/// they are treated or not.
/// Law: for any price from `lowest` on, two selected cells are joined by edges and ways exactly
/// where edges and links between selected cells join them; also after whole components, of all
/// cells, have lost their keys. Depends on grid, gap, rings and `lowest` alone.
/// Memory: twelve bytes for each time two groups of cells meet over a gap while a price falls.
class GapLinks {
public:
    /// Of cells of the first rings only where `widest_ring` says so, with keys from `lowest` on.
    /// `gap_m`: metres of the ground.
    GapLinks(const PlanGrid& grid, double gap_m, int widest_ring, const ShareOut& share_out,
             Key lowest = 1);

    double gap_m() const { return gap_m_; }
    int widest_ring() const { return widest_ring_; }
    Key lowest() const { return lowest_; }

    /// A cell of a block by row and column.
    struct Place {
        std::uint16_t row;
        std::uint16_t col;
    };
    /// Between cells of one block. No price accepts `later` without `earlier`.
    struct Inside {
        Key key; ///< of `later`, when links were found
        Place later;
        Place earlier;
    };
    /// `earlier` is of another block.
    struct Across {
        Key key;
        Place later;
        Place earlier;
        std::uint32_t block;
    };
    /// By falling key.
    struct OfBlock {
        std::vector<Inside> inside;
        std::vector<Across> across;
    };
    const OfBlock& of(std::size_t block) const { return links_[block]; }

private:
    double gap_m_;
    int widest_ring_;
    Key lowest_;
    std::vector<OfBlock> links_; ///< by block
};

} // namespace fuelring::plan
