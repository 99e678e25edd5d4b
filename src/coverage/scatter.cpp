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

/// Bounding box of a piece; that of the whole ellipse for an arc.
Box box_of(const Piece& p)
{
    if (!p.arc)
        return Box::between(p.start, p.end);
    const Point r{std::sqrt(p.u.x * p.u.x + p.v.x * p.v.x),
                  std::sqrt(p.u.y * p.u.y + p.v.y * p.v.y)};
    return {p.centre - r, p.centre + r};
}

/// Calls visit(row, y0, y1) for each row that a monotone run of heights goes through.
template <typename Visit>
void walk_rows(double from, double to, int top, int bottom, Visit&& visit)
{
    const int first = UnitLines::first_cell(from, to);
    const int last = UnitLines::first_cell(to, from);
    const int step = last < first ? -1 : 1;
    const int begin = std::clamp(first, top - 1, bottom);
    const int end = std::clamp(last, top - 1, bottom);
    for (int row = begin; row != end + step; row += step) {
        const double enter = row == first ? from : row + (step < 0 ? 1 : 0);
        const double leave = row == last ? to : row + (step < 0 ? 0 : 1);
        visit(row, enter, leave);
    }
}

/// The rows of a piece that lies left of the rectangle: only its heights count there, and those of
/// the stretches within a row add up to exactly those of the row.
template <typename Visit>
void walk_heights(const Piece& piece, int top, int bottom, Visit&& visit)
{
    const Extremes cuts = piece.arc ? extremes_of(piece) : Extremes{};
    double from = piece.start.y;
    for (int k = 0; k <= cuts.count; ++k) {
        const double to = k == cuts.count ? piece.end.y : cuts.at[static_cast<std::size_t>(k)].y;
        walk_rows(from, to, top, bottom, visit);
        from = to;
    }
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
    const auto visit_left = [&](int row, double y0, double y1) {
        if (row >= top && row < bottom)
            plane[static_cast<std::size_t>(row - top) * static_cast<std::size_t>(rect.cols)] +=
                fixed.part(y1 - row) - fixed.part(y0 - row);
    };
    for (const Piece& piece : outline.pieces) {
        const Piece cells = in_cells(piece, grid);
        const Box box = box_of(cells);
        if (box.max.y < top - 1 || box.min.y > bottom + 1 || box.min.x > right + 1)
            continue;
        if (box.max.x < left - 1)
            walk_heights(cells, top, bottom, visit_left);
        else
            walk(cells, visit);
    }
}

} // namespace fuelring::coverage
