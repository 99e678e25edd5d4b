// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/slope.hpp>
#include <fuelring/stretch.hpp>

#include <vector>

namespace fuelring {

/// How far rings reach at one slope, as multiples of their distance on level ground.
struct StretchRow {
    double slope_deg = 0;
    double down = 1;   ///< due downhill
    double across = 1; ///< to the sides

    friend bool operator==(const StretchRow&, const StretchRow&) = default;
};

/// Factors of no stretch are below 1 (rings would not nest), of none above this (200 m of clearing
/// below a wall where level ground asks for 10 would be a slip of the pen).
inline constexpr double largest_stretch = 10;

/// Which slope stretches rings by how much: linear between rows, constant beyond the first and the
/// last; upslope always 1. Rows stand in the order of rising slopes; without rows rings are round.
struct StretchTable {
    /// Planning default: one institution's advice, not a standard. Down the slope: 3 feet of
    /// clearance for every degree above 10 degrees, where level ground has 30 feet, up to the last
    /// example, 25 degrees (75 feet). It says nothing of the sides.
    /// Source: University of California, Agriculture and Natural Resources, web pages on wildfire,
    /// "Surroundings: Parcels" (undated), ucanr.edu/sites/Wildfire/Surroundings/Parcels.
    std::vector<StretchRow> rows{{10, 1, 1}, {25, 2.5, 1}};

    /// Round on flat ground, where nothing points downhill.
    RingStretch at(const LocalSlope& slope) const;
    /// The largest factor of all rows; 1 without rows.
    double largest() const;
};

} // namespace fuelring
