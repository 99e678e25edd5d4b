// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/gap_links.hpp"

#include <algorithm>
#include <cstdint>
#include <vector>

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

/// What one component holds: cells of one zone that ways of at most the gap join. Sums are
/// integers, so they do not depend on the order in which parts come together.
struct Component {
    std::int64_t conifer = 0; ///< conifer_unit_m2
    std::int64_t points = 0;  ///< points_unit
    Key best_key = 0;         ///< of its best cell, the first by row and column among equals
    std::int64_t best_row = 0;
    std::int64_t best_col = 0;
    ZoneId zone = no_zone;

    /// Takes in another one of the same zone, or the first where this is empty.
    void add(const Component& other);
};

/// Components of the selected cells of a grid: connected-component labelling by blocks. Parts that
/// lie in one block have a number of their own, in the order of blocks and of first cells; root()
/// says which belong together, and is the lowest number among them.
class Labelling {
public:
    /// Law: the components depend on the arguments alone. None is kept.
    /// Requires: links of the same grid and of the rings of the selection.
    Labelling(const PlanGrid& grid, const Selection& selection, const GapLinks& links,
              const ShareOut& share_out);

    /// Parts of all blocks; their numbers run from 0.
    std::size_t parts() const { return root_.size(); }
    std::uint32_t root(std::uint32_t part) const { return root_[part]; }
    bool is_root(std::uint32_t part) const { return root_[part] == part; }
    /// Sums of a whole component, under its root's number.
    /// Requires: is_root(root); of other parts the sums are those of the part.
    const Component& whole(std::uint32_t root) const { return whole_[root]; }

    static constexpr std::uint32_t none = UINT32_MAX;
    /// The part that a cell of a block belongs to, or `none`. Row and column of the block.
    std::uint32_t part_at(std::size_t block, int row, int col) const;

    /// Cells of one row and one part.
    struct Run {
        std::uint16_t col; ///< of the block
        std::uint16_t cells;
        std::uint32_t part;

        int end() const { return col + cells; }
    };
    /// Calls visit(row, col, cells, part) for each stretch of a block, by row and column.
    template <typename Visit>
    void runs(std::size_t block, Visit&& visit) const
    {
        runs(block, {0, 0, block_cells, block_cells}, visit);
    }
    /// The same of what lies in some of its columns and rows, `within` counted from its corner.
    template <typename Visit>
    void runs(std::size_t block, const CellRect& within, Visit&& visit) const
    {
        const BlockLabels& labels = labels_[block];
        const int first = static_cast<int>(within.col);
        const int last = first + static_cast<int>(within.cols);
        const int rows = static_cast<int>(labels.row_first.size()) - 1;
        const int end = std::min(static_cast<int>(within.row + within.rows), rows);
        for (int row = static_cast<int>(within.row); row < end; ++row) {
            const auto r = static_cast<std::size_t>(row);
            const auto row_end = labels.runs.begin() + labels.row_first[r + 1];
            for (auto run = std::partition_point(labels.runs.begin() + labels.row_first[r], row_end,
                                                 [&](const Run& k) { return k.end() <= first; });
                 run != row_end && run->col < last; ++run) {
                const int from = std::max<int>(run->col, first);
                visit(row, from, std::min(run->end(), last) - from, labels.first_part + run->part);
            }
        }
    }

    /// What the search in one block finds.
    /// Shape: runs by row, then column; row_first has rows + 1 numbers, or none at all.
    struct BlockLabels {
        std::vector<std::uint32_t> row_first; ///< by row, its first run; one more behind the last
        std::vector<Run> runs;                ///< parts counted from first_part
        std::vector<Component> parts;
        std::uint32_t first_part = 0;

        /// The run that holds a cell of the block, or `none`.
        std::uint32_t run_at(int row, int col) const;
    };

private:
    void number_parts();
    void join_blocks(const PlanGrid& grid, const GapLinks& links, Key lowest);

    std::vector<BlockLabels> labels_; ///< by block
    std::vector<std::uint32_t> root_; ///< by part
    std::vector<Component> whole_;    ///< by part; good for roots
};

} // namespace fuelring::plan
