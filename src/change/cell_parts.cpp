// SPDX-License-Identifier: Apache-2.0

// Cells under cells that are turned against them: each foreign cell, a quadrilateral, is cut by
// the four lines of every part of ours that its box meets (Sutherland and Hodgman, Reentrant
// polygon clipping, Communications of the ACM 17, 1974), and the area of what is left is its
// fraction. Most parts meet cells of one share only: a first pass finds them, and they need no
// cutting.

#include "change/cell_parts.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

namespace fuelring {

namespace {

/// What four cuts leave of four corners at most. A warped cell need not be convex: a straight cut
/// that drops d of n corners leaves n - d and one where the outline enters or leaves, twice for
/// each that is dropped or kept, so n and a half at most: 6, 9, 13, 19.
constexpr std::size_t most_corners = 4 * 3 / 2 * 3 / 2 * 3 / 2 * 3 / 2;

/// A polygon of few corners, convex or not.
struct SmallPolygon {
    std::array<Point, most_corners> corner;
    std::size_t size = 0;

    void add(Point p) { corner[size++] = p; }
};

/// What of it lies where `height` is not negative.
template <typename Height>
SmallPolygon cut(const SmallPolygon& whole, Height height)
{
    SmallPolygon left;
    for (std::size_t k = 0; k < whole.size; ++k) {
        const Point a = whole.corner[k];
        const Point b = whole.corner[(k + 1) % whole.size];
        const double ha = height(a);
        const double hb = height(b);
        if (ha >= 0)
            left.add(a);
        if ((ha < 0) != (hb < 0))
            left.add(a + (ha / (ha - hb)) * (b - a));
    }
    return left;
}

double area(const SmallPolygon& polygon)
{
    double twice = 0;
    for (std::size_t k = 2; k < polygon.size; ++k)
        twice +=
            cross(polygon.corner[k - 1] - polygon.corner[0], polygon.corner[k] - polygon.corner[0]);
    return std::abs(twice) / 2;
}

/// Area of a quadrilateral inside the unit cell at (x, y).
double area_in_cell(const SmallPolygon& quad, double x, double y)
{
    SmallPolygon part = cut(quad, [x](Point p) { return p.x - x; });
    part = cut(part, [x](Point p) { return x + 1 - p.x; });
    part = cut(part, [y](Point p) { return p.y - y; });
    return area(cut(part, [y](Point p) { return y + 1 - p.y; }));
}

/// Calls visit(cell, its corners, part) for each foreign cell and each part that its box meets.
template <typename Visit>
void meetings(const CellRect& parts, const ForeignCells& cells, Visit&& visit)
{
    const auto line = static_cast<std::size_t>(cells.cols) + 1;
    const auto low = [](double v, std::int64_t from) {
        return std::max(static_cast<std::int64_t>(std::floor(v)), from);
    };
    const auto high = [](double v, std::int64_t until) {
        return std::min(static_cast<std::int64_t>(std::floor(v)), until - 1);
    };
    for (std::size_t cell = 0; cell < cells.share.size(); ++cell) {
        const std::size_t k = cell / (line - 1) * line + cell % (line - 1);
        SmallPolygon quad;
        for (const std::size_t corner : {k, k + 1, k + line + 1, k + line})
            quad.add(static_cast<double>(CellParts::divisions) * cells.corners[corner]);
        const auto& c = quad.corner;
        const auto [x0, x1] = std::minmax({c[0].x, c[1].x, c[2].x, c[3].x});
        const auto [y0, y1] = std::minmax({c[0].y, c[1].y, c[2].y, c[3].y});
        const std::int64_t first_col = low(x0, parts.col);
        const std::int64_t last_col = high(x1, parts.col + parts.cols);
        const std::int64_t last_row = high(y1, parts.row + parts.rows);
        for (std::int64_t row = low(y0, parts.row); row <= last_row; ++row)
            for (std::int64_t col = first_col; col <= last_col; ++col)
                visit(static_cast<std::uint32_t>(cell), quad, row, col);
    }
}

} // namespace

CellParts::CellParts(const CellRect& rect, const ForeignCells& cells)
    : cols_(static_cast<std::size_t>(rect.cols * divisions)),
      rows_(static_cast<std::size_t>(rect.rows * divisions)), any_(cols_ * rows_),
      first_(cols_ * rows_ + 1)
{
    const CellRect parts{rect.col * divisions, rect.row * divisions, rect.cols * divisions,
                         rect.rows * divisions};
    const auto number = [&parts](std::int64_t row, std::int64_t col) {
        return static_cast<std::uint32_t>((row - parts.row) * parts.cols + col - parts.col);
    };
    constexpr std::uint8_t met = 1;
    constexpr std::uint8_t mixed = 2;
    std::vector<std::uint8_t> state(any_.size());
    meetings(parts, cells,
             [&](std::uint32_t cell, const SmallPolygon&, std::int64_t row, std::int64_t col) {
                 const std::uint32_t part = number(row, col);
                 if (state[part] == 0)
                     any_[part] = cell;
                 const bool same = cells.share[any_[part]] == cells.share[cell];
                 state[part] = same ? std::max(state[part], met) : mixed;
             });
    meetings(parts, cells,
             [&](std::uint32_t cell, const SmallPolygon& quad, std::int64_t row, std::int64_t col) {
                 const std::uint32_t part = number(row, col);
                 if (state[part] != mixed)
                     return;
                 const double frac =
                     area_in_cell(quad, static_cast<double>(col), static_cast<double>(row));
                 if (frac > 0)
                     pieces_.push_back({part, cell, frac});
             });
    std::stable_sort(pieces_.begin(), pieces_.end(),
                     [](const Piece& a, const Piece& b) { return a.part < b.part; });
    for (const Piece& piece : pieces_)
        ++first_[piece.part + 1];
    for (std::size_t part = 0; part < any_.size(); ++part)
        first_[part + 1] += first_[part];
}

} // namespace fuelring
