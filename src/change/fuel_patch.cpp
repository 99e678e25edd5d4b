// SPDX-License-Identifier: Apache-2.0
#include "change/fuel_patch.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

/// Sine of the largest angle that is none.
constexpr double parallel = 1e-9;

/// The whole number next to `v` where that is all that rounding has left of it.
/// Without it grids that fall together would differ by slivers of a billionth of a cell.
double snapped(double v)
{
    const double whole = std::round(v);
    return std::abs(v - whole) <= 1e-6 ? whole : v;
}

} // namespace

std::optional<GridRelation> relation_of(const Grid& grid, const Grid& other)
{
    if (std::abs(cross(grid.along_cols(), other.along_cols())) > parallel ||
        std::abs(cross(grid.against_rows(), other.against_rows())) > parallel)
        return std::nullopt;
    const double kx = grid.cell_width_m() / other.cell_width_m();
    const double ky = grid.cell_height_m() / other.cell_height_m();
    const Point corner = other.cell_of(grid.corner(0, 0));
    GridRelation r;
    r.x0 = snapped(corner.x);
    r.y0 = snapped(corner.y);
    r.kx = std::copysign(kx, dot(grid.along_cols(), other.along_cols()));
    r.ky = std::copysign(ky, dot(grid.against_rows(), other.against_rows()));
    return r;
}

CellRect cells_under(const CellRect& rect, const GridRelation& relation)
{
    const auto span = [](double a, double b, std::int64_t& first, std::int64_t& count) {
        first = static_cast<std::int64_t>(std::floor(std::min(a, b))) - 1;
        count = static_cast<std::int64_t>(std::ceil(std::max(a, b))) + 1 - first;
    };
    CellRect under;
    span(relation.col(static_cast<double>(rect.col)),
         relation.col(static_cast<double>(rect.col + rect.cols)), under.col, under.cols);
    span(relation.row(static_cast<double>(rect.row)),
         relation.row(static_cast<double>(rect.row + rect.rows)), under.row, under.rows);
    return under;
}

} // namespace fuelring
