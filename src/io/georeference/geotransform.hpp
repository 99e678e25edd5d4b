// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

#include <array>

namespace fuelring {

/// GDAL's geotransform: x = g[0] + col g[1] + row g[2], y = g[3] + col g[4] + row g[5], columns and
/// rows counted from the raster's corner. Source: GDAL's documentation, "Raster Data Model".
using Geotransform = std::array<double, 6>;

/// Area of a cell, negative where columns and rows turn as they do on a map; 0: no cells at all.
inline double determinant_of(const Geotransform& g)
{
    return g[1] * g[5] - g[2] * g[4];
}

/// The point of the map at a column (x) and a row (y).
inline Point map_of(const Geotransform& g, Point cell)
{
    return {g[0] + g[1] * cell.x + g[2] * cell.y, g[3] + g[4] * cell.x + g[5] * cell.y};
}

/// Column (x) and row (y) of a point of the map: the inverse of map_of.
/// Requires: determinant_of(g) is not 0.
inline Point cell_of(const Geotransform& g, Point map)
{
    const double determinant = determinant_of(g);
    const Point d{map.x - g[0], map.y - g[3]};
    return {(d.x * g[5] - d.y * g[2]) / determinant, (d.y * g[1] - d.x * g[4]) / determinant};
}

/// The box around a raster of so many columns and rows.
/// Law: it holds the raster's four corners, and so all of its cells.
inline Box box_of(const Geotransform& g, double cols, double rows)
{
    Box extent = Box::nothing();
    for (const Point corner : {Point{0, 0}, Point{cols, 0}, Point{0, rows}, Point{cols, rows}})
        extent.take_in(map_of(g, corner));
    return extent;
}

} // namespace fuelring
