// SPDX-License-Identifier: Apache-2.0

// PROJ is not asked for every cell, which would take long. Squares of 16 cells are laid out from
// the corner of the grid, not of the window, so that a cell's answer is the same whichever window
// asks.
#include "io/georeference/warp_map.hpp"

#include "io/georeference/geotransform.hpp"

#include <cmath>

namespace fuelring {

namespace {

constexpr std::int64_t square_cells = 16;

std::int64_t floor_div(std::int64_t a, std::int64_t b)
{
    return a >= 0 ? a / b : -((-a + b - 1) / b);
}

/// The squares that a window touches.
CellRect squares_of(const CellRect& rect)
{
    const std::int64_t col = floor_div(rect.col, square_cells);
    const std::int64_t row = floor_div(rect.row, square_cells);
    return {col, row, floor_div(rect.col + rect.cols - 1, square_cells) + 1 - col,
            floor_div(rect.row + rect.rows - 1, square_cells) + 1 - row};
}

Point between(Point a, Point b, double t)
{
    return (1 - t) * a + t * b;
}

} // namespace

WarpMap::WarpMap(const AnalysisPlan& plan)
    : grid_{plan.analysis.grid}, source_{plan.source}, to_source_{plan.analysis.crs,
                                                                  plan.source.crs}
{}

/// Places every corner of the squares; where PROJ knows none the numbers are not finite.
void WarpMap::place_nodes(const CellRect& squares)
{
    nodes_.clear();
    for (std::int64_t j = 0; j <= squares.rows; ++j)
        for (std::int64_t i = 0; i <= squares.cols; ++i)
            nodes_.push_back(
                grid_.corner((squares.col + i) * square_cells, (squares.row + j) * square_cells));
    to_source_.apply(nodes_);
    for (Point& p : nodes_)
        p = cell_of(source_.geotransform, p);
}

SourceCell WarpMap::cell_at(Point place) const
{
    const double col = std::floor(place.x);
    const double row = std::floor(place.y);
    if (!(col >= 0 && row >= 0 && col < static_cast<double>(source_.cols) &&
          row < static_cast<double>(source_.rows)))
        return {}; // not finite, too
    return {static_cast<std::int64_t>(col), static_cast<std::int64_t>(row)};
}

const std::vector<SourceCell>& WarpMap::locate(const CellRect& rect)
{
    cells_.clear();
    if (rect.empty())
        return cells_;
    const CellRect squares = squares_of(rect);
    place_nodes(squares);
    cells_.reserve(static_cast<std::size_t>(rect.cols * rect.rows));
    for (std::int64_t row = rect.row; row < rect.row + rect.rows; ++row) {
        const std::int64_t j = floor_div(row, square_cells);
        const double t = (static_cast<double>(row - j * square_cells) + 0.5) / square_cells;
        const Point* upper =
            &nodes_[static_cast<std::size_t>((j - squares.row) * (squares.cols + 1))];
        const Point* lower = upper + squares.cols + 1;
        for (std::int64_t col = rect.col; col < rect.col + rect.cols; ++col) {
            const std::int64_t i = floor_div(col, square_cells);
            const double s = (static_cast<double>(col - i * square_cells) + 0.5) / square_cells;
            const std::int64_t k = i - squares.col;
            cells_.push_back(cell_at(between(between(upper[k], lower[k], t),
                                             between(upper[k + 1], lower[k + 1], t), s)));
        }
    }
    return cells_;
}

} // namespace fuelring
