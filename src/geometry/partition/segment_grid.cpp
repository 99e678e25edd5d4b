// SPDX-License-Identifier: Apache-2.0
#include "geometry/partition/segment_grid.hpp"

namespace fuelring {

namespace {

constexpr std::int64_t margin = 2;      ///< lattice steps by which cells are entered early
constexpr int smallest_shift = 12;      ///< cells of 4 m
constexpr std::size_t least_cells = 64; ///< a small layer may have that many

} // namespace

// Counted first, then filled: two passes and no list per cell.
SegmentGrid::SegmentGrid(std::span<const LatticeSegment> segments)
{
    if (segments.empty())
        return;
    LatticePoint high = segments.front().a;
    min_ = high;
    for (const LatticeSegment& s : segments)
        for (const LatticePoint p : {s.a, s.b}) {
            min_ = {std::min(min_.x, p.x), std::min(min_.y, p.y)};
            high = {std::max(high.x, p.x), std::max(high.y, p.y)};
        }
    min_ = {min_.x - margin, min_.y - margin};
    const auto most_cells = static_cast<std::int64_t>(std::max(segments.size(), least_cells));
    for (shift_ = smallest_shift;; ++shift_) {
        cols_ = col_of(high.x + margin) + 1;
        rows_ = row_of(high.y + margin) + 1;
        if (cols_ <= most_cells && rows_ <= most_cells && cols_ * rows_ <= most_cells)
            break;
    }
    start_.assign(count() + 1, 0);
    for (const LatticeSegment& s : segments)
        for_each_cell(s, [&](std::size_t cell) { ++start_[cell + 1]; });
    for (std::size_t k = 1; k < start_.size(); ++k)
        start_[k] += start_[k - 1];
    items_.resize(start_.back());
    std::vector<std::size_t> next{start_.begin(), start_.end() - 1};
    first_cell_.assign(segments.size(), UINT32_MAX);
    for (std::size_t k = 0; k < segments.size(); ++k)
        for_each_cell(segments[k], [&](std::size_t cell) {
            items_[next[cell]++] = static_cast<std::uint32_t>(k);
            first_cell_[k] = std::min(first_cell_[k], static_cast<std::uint32_t>(cell));
        });
}

/// Row by row: the columns between the places where the line enters and leaves the row.
template <typename Visit>
void SegmentGrid::for_each_cell(const LatticeSegment& s, Visit&& visit) const
{
    const LatticePoint low{std::min(s.a.x, s.b.x) - margin, std::min(s.a.y, s.b.y) - margin};
    const LatticePoint high{std::max(s.a.x, s.b.x) + margin, std::max(s.a.y, s.b.y) + margin};
    const Cells box = cells_of(low, high);
    const double slope =
        s.a.y == s.b.y ? 0
                       : static_cast<double>(s.b.x - s.a.x) / static_cast<double>(s.b.y - s.a.y);
    for (std::int64_t row = box.first_row; row <= box.last_row; ++row) {
        std::int64_t first = box.first_col;
        std::int64_t last = box.last_col;
        if (s.a.y != s.b.y && first != last) {
            const std::int64_t bottom = min_.y + (row << shift_) - margin;
            const std::int64_t top = min_.y + ((row + 1) << shift_) + margin;
            const auto x_at = [&](std::int64_t y) {
                const std::int64_t inside = std::clamp(y, low.y, high.y);
                return s.a.x + std::llround(slope * static_cast<double>(inside - s.a.y));
            };
            const std::int64_t x0 = x_at(bottom);
            const std::int64_t x1 = x_at(top);
            // Slope and rounding err by far less than the slack of a steep line's own margin.
            const std::int64_t slack = 2 * margin;
            first = std::max(first, col_of(std::min(x0, x1) - slack));
            last = std::min(last, col_of(std::max(x0, x1) + slack));
        }
        for (std::int64_t col = first; col <= last; ++col)
            visit(number(col, row));
    }
}

} // namespace fuelring
