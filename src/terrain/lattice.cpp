// SPDX-License-Identifier: Apache-2.0
#include <fuelring/slope.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring {

Point HeightLattice::centre(std::int64_t col, std::int64_t row) const
{
    return origin + static_cast<double>(col - at.col) * col_step +
           static_cast<double>(row - at.row) * row_step;
}

Point HeightLattice::cell_of(Point local) const
{
    const Point d = local - origin;
    const double determinant = cross(col_step, row_step);
    return {static_cast<double>(at.col) + cross(d, row_step) / determinant,
            static_cast<double>(at.row) + cross(col_step, d) / determinant};
}

CellRect HeightLattice::cells_in(const Box& local) const
{
    Point least{HUGE_VAL, HUGE_VAL};
    Point most{-HUGE_VAL, -HUGE_VAL};
    for (const double x : {local.min.x, local.max.x})
        for (const double y : {local.min.y, local.max.y}) {
            const Point cell = cell_of({x, y});
            least = {std::min(least.x, cell.x), std::min(least.y, cell.y)};
            most = {std::max(most.x, cell.x), std::max(most.y, cell.y)};
        }
    const auto col = static_cast<std::int64_t>(std::floor(least.x));
    const auto row = static_cast<std::int64_t>(std::floor(least.y));
    return {col, row, static_cast<std::int64_t>(std::ceil(most.x)) + 1 - col,
            static_cast<std::int64_t>(std::ceil(most.y)) + 1 - row};
}

double HeightWindow::at(std::int64_t col, std::int64_t row) const
{
    const std::int64_t i = col - rect.col;
    const std::int64_t j = row - rect.row;
    if (i < 0 || j < 0 || i >= rect.cols || j >= rect.rows)
        return std::numeric_limits<double>::quiet_NaN();
    return height_m[static_cast<std::size_t>(j * rect.cols + i)];
}

double HeightWindow::between(Point cell) const
{
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
