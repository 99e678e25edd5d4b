// SPDX-License-Identifier: Apache-2.0
#include "geometry/piece.hpp"
#include "geometry/require.hpp"

#include <fuelring/slope.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring {

namespace {

constexpr double shortest_step_m = 1e-6;
/// Of the angle between columns and rows: heights on flatter ones say nothing of the ground.
constexpr double least_sine = 1e-6;

} // namespace

void HeightLattice::require_valid() const
{
    const double along = col_step.length();
    const double down = row_step.length();
    require(is_local(origin) && is_local(col_step) && is_local(row_step) &&
                along >= shortest_step_m && down >= shortest_step_m &&
                std::abs(cross(col_step, row_step)) >= least_sine * along * down,
            "HeightLattice: steps are finite, a micrometre at least, and not parallel");
    constexpr std::int64_t most_counted = std::int64_t{1} << 52;
    require(at.col > -most_counted && at.col < most_counted && at.row > -most_counted &&
                at.row < most_counted,
            "HeightLattice: the cell is too far off");
}

Point HeightLattice::centre(std::int64_t col, std::int64_t row) const
{
    return origin + static_cast<double>(col - at.col) * col_step +
           static_cast<double>(row - at.row) * row_step;
}

// Cramer's rule; `require_valid` keeps the determinant away from 0.
Point HeightLattice::cell_of(Point local) const
{
    const Point cells = InverseBasis{col_step, row_step}(local - origin);
    return {static_cast<double>(at.col) + cells.x, static_cast<double>(at.row) + cells.y};
}

CellRect HeightLattice::cells_in(const Box& local) const
{
    require_valid();
    require(std::isfinite(local.min.x + local.min.y) && std::isfinite(local.max.x + local.max.y),
            "HeightLattice::cells_in: the box is not finite");
    // A linear map carries a box into a parallelogram, whose bounds are those of its corners.
    Box cells = Box::nothing();
    for (const double x : {local.min.x, local.max.x})
        for (const double y : {local.min.y, local.max.y})
            cells.take_in(cell_of({x, y}));
    const auto whole = [](double cell) {
        require(std::abs(cell) < 0x1p52, "HeightLattice::cells_in: the box is too far off");
        return static_cast<std::int64_t>(cell);
    };
    const std::int64_t col = whole(std::floor(cells.min.x));
    const std::int64_t row = whole(std::floor(cells.min.y));
    return {col, row, whole(std::ceil(cells.max.x)) + 1 - col,
            whole(std::ceil(cells.max.y)) + 1 - row};
}

void HeightWindow::require_valid() const
{
    const auto n = height_m.size();
    const auto cols = static_cast<std::size_t>(std::max<std::int64_t>(rect.cols, 0));
    const auto rows = static_cast<std::size_t>(std::max<std::int64_t>(rect.rows, 0));
    const bool fits = rect.empty() ? n == 0 : n / cols == rows && n % cols == 0;
    require(rect.is_countable() && fits, "HeightWindow: as many heights as cells are needed");
}

double HeightWindow::at(std::int64_t col, std::int64_t row) const
{
    const std::int64_t i = col - rect.col;
    const std::int64_t j = row - rect.row;
    if (i < 0 || j < 0 || i >= rect.cols || j >= rect.rows)
        return std::numeric_limits<double>::quiet_NaN();
    return height_m.at(static_cast<std::size_t>(j * rect.cols + i));
}

double HeightWindow::between(Point cell) const
{
    // Outside a bilinear height is not known: said before numbers too large to count are cast.
    const auto apart = [](double v, std::int64_t from, std::int64_t count) {
        return !(v >= static_cast<double>(from) - 2 && v <= static_cast<double>(from + count) + 2);
    };
    if (apart(cell.x, rect.col, rect.cols) || apart(cell.y, rect.row, rect.rows))
        return std::numeric_limits<double>::quiet_NaN();
    const double left = std::floor(cell.x);
    const double top = std::floor(cell.y);
    const double s = cell.x - left;
    const double t = cell.y - top;
    const auto col = static_cast<std::int64_t>(left);
    const auto row = static_cast<std::int64_t>(top);
    return (1 - t) * ((1 - s) * at(col, row) + s * at(col + 1, row)) +
           t * ((1 - s) * at(col, row + 1) + s * at(col + 1, row + 1));
}

} // namespace fuelring
