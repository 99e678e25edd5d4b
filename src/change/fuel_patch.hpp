// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/grid.hpp>

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

namespace fuelring {

/// What one run saw of a rectangle of its cells, row by row from the top: the two bands of
/// fuel_used.tif.
struct FuelPatch {
    static constexpr std::uint16_t unknown_share = 65535;
    static constexpr std::uint16_t never_reached = 65535; ///< as a group

    CellRect rect;
    std::vector<std::uint16_t> share; ///< ten-thousandths of conifer; unknown_share where unmapped
    std::vector<std::uint16_t> group; ///< FuelGroup, or never_reached

    std::size_t index(std::int64_t col, std::int64_t row) const
    {
        return static_cast<std::size_t>((row - rect.row) * rect.cols + (col - rect.col));
    }
};

/// Where the cells of one grid lie among those of another: column b = x0 + kx * column a, and rows
/// likewise. Both count from their raster's first corner.
/// Law: where cells are equal and corners fall together, kx = ky = 1 and x0, y0 are whole.
struct GridRelation {
    double x0 = 0;
    double kx = 1;
    double y0 = 0;
    double ky = 1;

    double col(double a) const { return x0 + kx * a; }
    double row(double a) const { return y0 + ky * a; }
    /// The other way round.
    double col_back(double b) const { return (b - x0) / kx; }
    double row_back(double b) const { return (b - y0) / ky; }
};

/// How cells of `other` lie among those of `grid`; both in the same CRS. Empty where their axes are
/// not parallel: cells then have no common rows and columns.
std::optional<GridRelation> relation_of(const Grid& grid, const Grid& other);

/// The cells of the other grid that a rectangle of cells touches.
CellRect cells_under(const CellRect& rect, const GridRelation& relation);

} // namespace fuelring
