// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/plan_grid.hpp"

#include <tuple>

namespace fuelring::plan {

/// A price: cells of a higher key are worth it, and of those of this very key the first in the
/// order of rows and columns, up to a place.
/// Row and column are those of the grid. As made: every cell with a key.
struct Price {
    Key key = 1;
    std::int64_t row = INT64_MAX;
    std::int64_t col = INT64_MAX;

    /// Law: what a price accepts, every lower price accepts, too.
    bool accepts(Key k, std::int64_t r, std::int64_t c) const
    {
        return k > key || (k == key && (r < row || (r == row && c <= col)));
    }
    double value() const { return ratio_of(key); } ///< points per unit of the budget
};

/// A set of conifer cells, one bit for each that the grid holds; empty at first. `block` and `k`
/// number a cell as Block does.
/// Numbers are those of the grid it was made for. Memory: a bit for each conifer cell of the blocks
/// that hold some of it.
class CellSet {
public:
    explicit CellSet(const PlanGrid& grid) : bits_(grid.blocks().size()) {}

    bool holds(std::size_t block, std::size_t k) const
    {
        return !bits_[block].empty() && ((bits_[block][k / 64] >> (k % 64)) & 1U) != 0;
    }
    /// Adding twice changes nothing.
    void add(const PlanGrid& grid, std::size_t block, std::size_t k)
    {
        std::vector<std::uint64_t>& words = bits_[block];
        if (words.empty())
            words.resize(grid.blocks()[block].key.size() / 64 + 1);
        words[k / 64] |= std::uint64_t{1} << (k % 64);
    }

private:
    std::vector<std::vector<std::uint64_t>> bits_; ///< by block; none where it has no cell of it
};

/// Which cells are looked at: those worth a price, near enough to a wall.
struct Selection {
    Price price{};
    int widest_ring = 3; ///< cells of rings further out do not count

    /// Whether any price could take the cell: something is to be saved, near enough to a wall.
    bool may_take(const Block& block, std::size_t k) const
    {
        return block.key[k] != 0 && block.ring(k) <= widest_ring;
    }
    /// Whether the cell is selected; row and column are the grid's.
    bool takes(const Block& block, std::size_t k, std::int64_t row, std::int64_t col) const
    {
        return price.accepts(block.key[k], row, col) && may_take(block, k);
    }
};

} // namespace fuelring::plan
