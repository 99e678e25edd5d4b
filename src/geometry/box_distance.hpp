// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

namespace fuelring {

/// Squared distance from a straight edge to a closed box; 0 where they meet.
double squared_distance(Point a, Point b, const Box& box);

/// Whether two closed boxes share a point, or come nearer than `within` in x and in y.
inline bool boxes_meet(const Box& a, const Box& b, double within = 0)
{
    return a.min.x <= b.max.x + within && b.min.x <= a.max.x + within &&
           a.min.y <= b.max.y + within && b.min.y <= a.max.y + within;
}

} // namespace fuelring
