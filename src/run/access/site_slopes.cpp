// SPDX-License-Identifier: Apache-2.0

// Cells come in squares that begin at multiples of their side: where heights stand in another
// coordinate system, the map between both is taken as straight within one, and which one that is
// must not depend on who asks.
#include "run/access/site_slopes.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring {

namespace {

constexpr std::int64_t square_cells = 128;

/// Slope in per cent from four heights, half a base off to each side.
float slope_percent(double east, double west, double north, double south, double base_m)
{
    constexpr double percent = 100;
    return static_cast<float>(percent *
                              std::hypot((east - west) / base_m, (north - south) / base_m));
}

double longest_step_m(const HeightLattice& lattice)
{
    return std::max(std::hypot(lattice.col_step.x, lattice.col_step.y),
                    std::hypot(lattice.row_step.x, lattice.row_step.y));
}

} // namespace

SiteSlopes::SiteSlopes(const Inputs& inputs) : inputs_(inputs), reader_(*inputs.elevation) {}

void SiteSlopes::of_cells(const CellRect& cells, std::span<float> percent)
{
    std::fill(percent.begin(), percent.end(), std::numeric_limits<float>::quiet_NaN());
    for (std::int64_t r = cells.row / square_cells; r * square_cells < cells.row + cells.rows; ++r)
        for (std::int64_t c = cells.col / square_cells; c * square_cells < cells.col + cells.cols;
             ++c) {
            const CellRect square{c * square_cells, r * square_cells, square_cells, square_cells};
            of_square(square, intersection(square, cells), cells, percent);
        }
}

void SiteSlopes::of_square(const CellRect& square, const CellRect& part, const CellRect& cells,
                           std::span<float> percent)
{
    const AnalysisGrid& analysis = inputs_.raster->analysis();
    const Point middle =
        analysis.grid.corner(square.col + square.cols / 2, square.row + square.rows / 2);
    const Grid ground = analysis.grid.at_scale(analysis.ground.at(middle));
    const CellFrame frame{square.col, square.row};
    const Point side{static_cast<double>(square.cols) * ground.cell_width_m(),
                     static_cast<double>(square.rows) * ground.cell_height_m()};
    const auto lattice = reader_.lattice_at(ground, frame, {0.5 * side.x, -0.5 * side.y},
                                            0.5 * std::hypot(side.x, side.y));
    if (!lattice)
        return;
    const double half_m = std::max(0.5 * slope_base_m, longest_step_m(*lattice));
    const auto place_of = [&](std::int64_t row, std::int64_t col) {
        return Point{(static_cast<double>(col - frame.col) + 0.5) * ground.cell_width_m(),
                     -(static_cast<double>(row - frame.row) + 0.5) * ground.cell_height_m()};
    };
    const Point first = place_of(part.row, part.col);
    const Point last = place_of(part.row + part.rows - 1, part.col + part.cols - 1);
    const HeightWindow& window =
        reader_.read(widened(lattice->cells_in({{first.x - half_m, last.y - half_m},
                                                {last.x + half_m, first.y + half_m}}),
                             1));
    const auto height = [&](Point place) { return window.between(lattice->cell_of(place)); };
    for (std::int64_t row = part.row; row < part.row + part.rows; ++row)
        for (std::int64_t col = part.col; col < part.col + part.cols; ++col) {
            const Point at = place_of(row, col);
            const auto k =
                static_cast<std::size_t>((row - cells.row) * cells.cols + col - cells.col);
            percent[k] = slope_percent(height(at + Point{half_m, 0}), height(at - Point{half_m, 0}),
                                       height(at + Point{0, half_m}), height(at - Point{0, half_m}),
                                       2 * half_m);
        }
}

} // namespace fuelring
