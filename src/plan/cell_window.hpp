// SPDX-License-Identifier: Apache-2.0

// What the searches of the plan share: a window of cells numbered row by row, planes over it, and
// the rule of how far a way may lead over open ground.
#pragma once

#include "plan/plan_grid.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <vector>

namespace fuelring::plan {

/// A step from a cell to one of its eight neighbours.
/// Rows count downwards.
struct Step {
    int row;
    int col;
    bool is_aslant() const { return row != 0 && col != 0; }
};
/// The four over edges come first.
inline constexpr std::array<Step, 8> all_steps{
    {{-1, 0}, {0, -1}, {0, 1}, {1, 0}, {-1, -1}, {-1, 1}, {1, -1}, {1, 1}}};

/// How far a unit may reach over open ground, in whole centimetres of way from centre to centre,
/// so that lengths of ways add up without rounding. Open ground has no conifers and belongs to the
/// unit's zone. A way goes from cell to cell; aslant only beside an open cell, so that whole cells
/// join it without a squeeze between two corners.
/// Law: a step along an edge counts the side of a cell, one aslant its diagonal; a gap wider than
/// 1.2 km less a cell counts as that.
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
    /// Requires: one of all_steps.
    int step_cm(const Step& step) const
    {
        return step.row == 0 ? width_cm : step.col == 0 ? height_cm : slant_cm;
    }
    /// Cells beyond which nothing of a way lies.
    /// Each cell of a way adds the shorter side or more.
    int reach_cells() const { return limit_cm / std::min(width_cm, height_cm) + 2; }

private:
    static constexpr int longest_cm = 120'000; ///< half of it fits 16 bits
    static int in_cm(double metres)
    {
        return std::max(1, static_cast<int>(std::lround(100 * metres)));
    }
};

/// A value for each cell of a window, by the cell's number.
/// Numbers are not checked.
template <typename Value>
class Plane {
public:
    Value& operator[](std::int32_t cell) { return values_[static_cast<std::size_t>(cell)]; }
    const Value& operator[](std::int32_t cell) const
    {
        return values_[static_cast<std::size_t>(cell)];
    }
    std::int32_t size() const { return static_cast<std::int32_t>(values_.size()); }
    /// One value for all cells.
    void assign(std::int32_t cells, Value value)
    {
        values_.assign(static_cast<std::size_t>(cells), value);
    }
    /// Room for more cells; what is there stays.
    void grow(std::int32_t cells)
    {
        values_.resize(static_cast<std::size_t>(std::max(cells, size())));
    }
    /// The cells [from, to).
    void fill(std::int32_t from, std::int32_t to, Value value)
    {
        std::fill(values_.begin() + from, values_.begin() + to, value);
    }

private:
    std::vector<Value> values_;
};

/// Cells of a rectangle, numbered row by row from 0; fewer than 2^31.
/// Law: `next` of a cell that is not on the rim is a cell of the window.
struct CellWindow {
    CellRect rect;

    std::int32_t size() const { return static_cast<std::int32_t>(rect.rows * rect.cols); }
    /// Requires: a cell of the window. Rows and columns are those of `rect`.
    std::int32_t at(std::int64_t row, std::int64_t col) const
    {
        return static_cast<std::int32_t>((row - rect.row) * rect.cols + (col - rect.col));
    }
    std::int64_t row_of(std::int32_t cell) const { return rect.row + cell / rect.cols; }
    std::int64_t col_of(std::int32_t cell) const { return rect.col + cell % rect.cols; }
    std::int32_t next(std::int32_t cell, const Step& step) const
    {
        return cell + step.row * static_cast<std::int32_t>(rect.cols) + step.col;
    }

    /// Of the part of a block that lies in the window, row by row: calls ground(from, to, zone) for
    /// the cells [from, to) of one zone, then conifer(cell, k) for the row's conifer cells.
    template <typename Ground, typename Conifer>
    void look_at(const Block& block, const CellRect& part, Ground&& ground, Conifer&& conifer) const
    {
        const int first = static_cast<int>(part.col - block.rect.col);
        const int last = first + static_cast<int>(part.cols);
        for (std::int64_t row = part.row; row < part.row + part.rows; ++row) {
            const std::int32_t begin = at(row, block.rect.col);
            const int r = static_cast<int>(row - block.rect.row);
            block.zones(r, first, last, [&](int from, int to, ZoneId zone) {
                ground(begin + from, begin + to, zone);
            });
            block.conifers(r, first, last,
                           [&](int col, std::size_t k) { conifer(begin + col, k); });
        }
    }
};

/// Lengths of ways that are still to be followed, shortest first: a bucket for each centimetre
/// (Dial, Communications of the ACM 12, 1969).
class WayQueue {
public:
    explicit WayQueue(int longest_cm)
        : buckets_(static_cast<std::size_t>(longest_cm) + 1), filled_(buckets_.size() / 64 + 1)
    {}
    /// Requires: 0 <= way <= longest_cm; while it is drained, no less than the way just visited.
    void push(int way, std::int32_t cell)
    {
        const auto bucket = static_cast<std::size_t>(way);
        buckets_[bucket].push_back(cell);
        filled_[bucket / 64] |= std::uint64_t{1} << (bucket % 64);
    }
    /// Calls visit(way, cell) from the shortest way on, also for what it pushes; empty after that.
    template <typename Visit>
    void drain(Visit&& visit)
    {
        for (std::size_t word = 0; word < filled_.size(); ++word)
            while (filled_[word] != 0) {
                const std::size_t way =
                    word * 64 + static_cast<std::size_t>(std::countr_zero(filled_[word]));
                for (std::size_t k = 0; k < buckets_[way].size(); ++k)
                    visit(static_cast<int>(way), buckets_[way][k]);
                buckets_[way].clear();
                filled_[word] &= filled_[word] - 1;
            }
    }

private:
    std::vector<std::vector<std::int32_t>> buckets_;
    std::vector<std::uint64_t> filled_; ///< a bit for each bucket
};

} // namespace fuelring::plan
