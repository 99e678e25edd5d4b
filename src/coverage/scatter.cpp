// SPDX-License-Identifier: Apache-2.0

// Scatter: the transpose of gather, by the accumulation buffer that anti-aliasing font rasterisers
// use. A stretch inside cell (row, col) with the region to its right covers dy - x_dy of its own
// cell and dy of every cell further right: one term into the cell, the rest into the next, and a
// running sum along the row does the others. Heights are rounded at the ends of stretches, not
// their differences, and neighbours share their ends, so each row of a closed boundary telescopes
// to exactly zero outside the region.

#include "coverage/scatter.hpp"

#include "coverage/walk.hpp"

#include <algorithm>

namespace fuelring::coverage {

namespace {

/// True when nothing of the piece (cell coordinates) lies in the rectangle's rows and left of its
/// right edge.
bool misses(const Piece& p, int top, int bottom, int right)
{
    double min_x = std::min(p.start.x, p.end.x);
    double min_y = std::min(p.start.y, p.end.y);
    double max_y = std::max(p.start.y, p.end.y);
    if (p.arc) {
        const double rx = std::sqrt(p.u.x * p.u.x + p.v.x * p.v.x);
        const double ry = std::sqrt(p.u.y * p.u.y + p.v.y * p.v.y);
        min_x = p.centre.x - rx;
        min_y = p.centre.y - ry;
        max_y = p.centre.y + ry;
    }
    return max_y < top - 1 || min_y > bottom + 1 || min_x > right + 1;
}

} // namespace

Int128 to_fixed(double value)
{
    return static_cast<Int128>(std::nearbyint(std::ldexp(value, fixed_places)));
}

void scatter(const Outline& outline, const CellFrame& frame, const Grid& grid, Int128 weight,
             const CellRect& rect, std::span<std::uint64_t> plane)
{
    const FixedWeight fixed{weight};
    const int top = static_cast<int>(rect.row - frame.row);
    const int left = static_cast<int>(rect.col - frame.col);
    const int bottom = top + static_cast<int>(rect.rows);
    const int right = left + static_cast<int>(rect.cols);
    const auto visit = [&](const Stretch& s) {
        if (s.row < top || s.row >= bottom || s.col >= right)
            return;
        const std::uint64_t all = fixed.part(s.y1 - s.row) - fixed.part(s.y0 - s.row);
        std::uint64_t* line =
            &plane[static_cast<std::size_t>(s.row - top) * static_cast<std::size_t>(rect.cols)];
        if (s.col < left) {
            line[0] += all;
            return;
        }
        const auto col = static_cast<std::size_t>(s.col - left);
        const std::uint64_t here = fixed.times((s.y1 - s.y0) - s.x_dy);
        line[col] += here;
        if (s.col + 1 < right)
            line[col + 1] += all - here;
    };
    for (const Piece& piece : outline.pieces) {
        const Piece cells = in_cells(piece, grid);
        if (!misses(cells, top, bottom, right))
            walk(cells, visit);
    }
}

} // namespace fuelring::coverage
