// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <limits>

namespace fuelring {

/// Statistics of the valid cells of one band, of a tile or of many.
struct BandStats {
    std::int64_t count = 0;
    double smallest = std::numeric_limits<double>::infinity();
    double largest = -std::numeric_limits<double>::infinity();
    double mean = 0;
    double squares = 0; ///< sum of squared differences from the mean

    /// Joins two sets of cells (Chan, Golub, LeVeque 1979, from memory). The last bits depend on
    /// the order, so tiles are joined in raster order.
    void join(const BandStats& other);
    double deviation() const; ///< of the population, as GDAL's statistics
};

} // namespace fuelring
