// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>
#include <fuelring/grid.hpp>

#include <cstddef>
#include <cstdint>
#include <vector>

namespace fuelring {

/// Cells of a foreign grid, which may lie in any direction, among ours. Shape: `cols` + 1 corners
/// to a row of corners, one row more than rows of cells.
struct ForeignCells {
    std::int64_t cols = 0;
    std::vector<Point> corners;       ///< of all cells, row by row, in columns and rows of our grid
    std::vector<std::uint16_t> share; ///< of all cells, row by row
};

/// Of every part of our cells, which foreign cells lie in it, and how much of it each covers. Every
/// cell of ours has `divisions` x `divisions` equal parts; every foreign cell is the straight
/// quadrilateral between its corners.
class CellParts {
public:
    static constexpr int divisions = 4;

    /// Requires: the foreign cells cover the rectangle. Parts that only cells of one share can meet
    /// are not cut: one of these stands for all.
    CellParts(const CellRect& rect, const ForeignCells& cells);

    std::size_t cols() const { return cols_; } ///< parts in a row of the rectangle
    std::size_t rows() const { return rows_; }

    /// Calls visit(foreign cell, fraction of the part) for each foreign cell in a part.
    /// Law: the fractions add up to 1, to rounding.
    template <typename Visit>
    void for_each(std::size_t row, std::size_t col, Visit&& visit) const
    {
        const std::size_t part = row * cols_ + col;
        if (first_[part] == first_[part + 1])
            visit(std::size_t{any_[part]}, 1.0);
        for (std::size_t k = first_[part]; k < first_[part + 1]; ++k)
            visit(std::size_t{pieces_[k].cell}, pieces_[k].frac);
    }

private:
    /// What one foreign cell covers of one part.
    struct Piece {
        std::uint32_t part = 0;
        std::uint32_t cell = 0;
        double frac = 0;
    };
    std::size_t cols_;
    std::size_t rows_;
    std::vector<std::uint32_t> any_; ///< by part, a foreign cell that may lie in it
    std::vector<Piece> pieces_;      ///< of parts that were cut, by part
    std::vector<std::size_t> first_; ///< by part, its first piece
};

} // namespace fuelring
