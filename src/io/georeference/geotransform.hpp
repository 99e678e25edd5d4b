// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

#include <array>

namespace fuelring {

/// Where a point of the map lies in a raster, in columns and rows from its corner: the inverse of
/// x = g[0] + col g[1] + row g[2], y = g[3] + col g[4] + row g[5], GDAL's geotransform.
inline Point cell_of(const std::array<double, 6>& g, Point map)
{
    const double determinant = g[1] * g[5] - g[2] * g[4];
    const Point d{map.x - g[0], map.y - g[3]};
    return {(d.x * g[5] - d.y * g[2]) / determinant, (d.y * g[1] - d.x * g[4]) / determinant};
}

} // namespace fuelring
