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

    /// Joins two sets of cells. With n = n1 + n2 and step = mean2 - mean1 the mean moves by
    /// step n2 / n, and as squares about any c are squares + n_i (mean_i - c)^2, those of the two
    /// grow by step^2 n1 n2 / n. The last bits depend on the order: tiles join in raster order.
    /// Source: Chan, Golub and LeVeque 1979, Stanford University, report CS-TR-79-773.
    void join(const BandStats& other);
    double deviation() const; ///< of the population, as GDAL's statistics
};

} // namespace fuelring
