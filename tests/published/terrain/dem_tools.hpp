// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/slope.hpp>

#include <filesystem>
#include <vector>

namespace fuelring::test {

/// Heights in squares of `cell_m`, north up.
struct Surface {
    std::int64_t cols = 0;
    std::int64_t rows = 0;
    double cell_m = 30;
    std::vector<double> height_m; ///< NaN is nodata
};

/// Where the ground falls and by how much (metres a metre, x to the east, y to the north), cell by
/// cell, by the DEM tools of GDAL: "Horn" or "ZevenbergenThorne". NaN where they say nothing.
std::vector<Point> falls_by_gdal(const Surface& surface, const char* algorithm,
                                 const std::filesystem::path& folder);

/// The same by fuelring's plane through the eight cells around each one, the cell itself left out.
std::vector<Point> falls_by_planes(const Surface& surface);

} // namespace fuelring::test
