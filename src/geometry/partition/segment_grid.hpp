// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/partition/lattice.hpp"

#include <algorithm>
#include <array>
#include <span>

namespace fuelring {

/// Segments of the lattice by square cells: which may pass through or within one step of a cell.
/// Cells have sides of 2^n lattice steps, 4 m or more, and there are at most as many as segments
/// (or 64), so memory is linear in the segments.
/// Law: a cell lists every segment that comes within a step of it, and perhaps some more: what is
/// compared depends on the cells, how a comparison ends does not.
class SegmentGrid {
public:
    /// Range of cells, last included; none where a first is above its last.
    struct Cells {
        std::int64_t first_col, last_col, first_row, last_row;
    };

    SegmentGrid() = default;
    /// `segments` is not kept: callers look numbers up in their own list.
    /// Cost: linear in the cells that segments pass.
    explicit SegmentGrid(std::span<const LatticeSegment> segments);

    std::int64_t cols() const { return cols_; }
    std::int64_t rows() const { return rows_; }
    /// Column and row of a lattice coordinate; outside the extent below 0 or from cols(), rows()
    /// on.
    std::int64_t col_of(std::int64_t x) const { return (x - min_.x) >> shift_; }
    std::int64_t row_of(std::int64_t y) const { return (y - min_.y) >> shift_; }
    /// The cell of a point inside the extent, as used by `in_cell`.
    std::size_t cell_of(LatticePoint p) const { return number(col_of(p.x), row_of(p.y)); }
    /// Cells are numbered row by row, from the bottom.
    std::size_t number(std::int64_t col, std::int64_t row) const
    {
        return static_cast<std::size_t>(row * cols_ + col);
    }
    std::size_t count() const { return static_cast<std::size_t>(cols_ * rows_); }
    /// Numbers of the segments of a cell, ascending.
    std::span<const std::uint32_t> in_cell(std::size_t cell) const
    {
        return std::span{items_}.subspan(start_[cell], start_[cell + 1] - start_[cell]);
    }
    /// Calls visit(k) once for each segment that a cell of a range holds, in an order that depends
    /// on the range alone.
    template <typename Visit>
    void for_each_in(const Cells& range, Visit&& visit) const
    {
        std::vector<std::uint32_t> entering; // from cells outside the range: perhaps seen twice
        for (std::int64_t row = range.first_row; row <= range.last_row; ++row)
            for (std::int64_t col = range.first_col; col <= range.last_col; ++col) {
                const std::size_t cell = number(col, row);
                for (const std::uint32_t k : in_cell(cell)) {
                    if (first_cell_[k] == cell)
                        visit(k);
                    else if (!holds(range, first_cell_[k]))
                        entering.push_back(k);
                }
            }
        std::sort(entering.begin(), entering.end());
        entering.erase(std::unique(entering.begin(), entering.end()), entering.end());
        for (const std::uint32_t k : entering)
            visit(k);
    }
    /// Equal where equal lists of segments, even if they are parts of longer ones, stand in the
    /// same cells.
    std::array<std::int64_t, 5> layout() const { return {min_.x, min_.y, shift_, cols_, rows_}; }
    /// The cell that stands for a segment: the first of those that hold it.
    std::uint32_t first_cell(std::size_t k) const { return first_cell_[k]; }
    /// Left border of a column.
    std::int64_t left_of(std::int64_t col) const { return min_.x + (col << shift_); }
    /// The cells that a box touches, cut to the extent; first above last where none.
    Cells cells_of(LatticePoint low, LatticePoint high) const
    {
        return {std::max<std::int64_t>(col_of(low.x), 0), std::min(col_of(high.x), cols_ - 1),
                std::max<std::int64_t>(row_of(low.y), 0), std::min(row_of(high.y), rows_ - 1)};
    }

private:
    bool holds(const Cells& range, std::size_t cell) const
    {
        const auto row = static_cast<std::int64_t>(cell) / cols_;
        const auto col = static_cast<std::int64_t>(cell) - row * cols_;
        return row >= range.first_row && row <= range.last_row && col >= range.first_col &&
               col <= range.last_col;
    }
    template <typename Visit>
    void for_each_cell(const LatticeSegment& s, Visit&& visit) const;

    LatticePoint min_; ///< lower left corner
    int shift_ = 0;    ///< the side of a cell is 2^shift_ steps
    std::int64_t cols_ = 0;
    std::int64_t rows_ = 0;
    std::vector<std::size_t> start_;        ///< by cell, its first item; one more behind the last
    std::vector<std::uint32_t> items_;      ///< numbers of segments, cell by cell
    std::vector<std::uint32_t> first_cell_; ///< by segment: the one that for_each_in counts
};

} // namespace fuelring
