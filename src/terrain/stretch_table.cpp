// SPDX-License-Identifier: Apache-2.0

// Slopes are angles in the table, falls in the fit: fall = tan(angle). Between rows the factors are
// linear in degrees, as the rule of the default is; beyond the last row they stay.
#include "terrain/stretch_table.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace fuelring {

namespace {

/// The row of a slope between two rows. Exact at both, and never outside of them.
StretchRow between(const StretchRow& a, const StretchRow& b, double slope_deg)
{
    const double t = (slope_deg - a.slope_deg) / (b.slope_deg - a.slope_deg);
    return {slope_deg, std::lerp(a.down, b.down, t), std::lerp(a.across, b.across, t)};
}

} // namespace

RingStretch StretchTable::at(const LocalSlope& slope) const
{
    if (rows.empty() || slope.is_flat())
        return {};
    const double slope_deg = std::atan(slope.fall) * 180 / std::numbers::pi;
    const auto above = std::upper_bound(
        rows.begin(), rows.end(), slope_deg,
        [](double degrees, const StretchRow& row) { return degrees < row.slope_deg; });
    const StretchRow row = above == rows.begin() ? rows.front()
                           : above == rows.end() ? rows.back()
                                                 : between(*(above - 1), *above, slope_deg);
    return {row.down, row.across, slope.downhill};
}

double StretchTable::largest() const
{
    double largest = 1;
    for (const StretchRow& row : rows)
        largest = std::max({largest, row.down, row.across});
    return largest;
}

} // namespace fuelring
