// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

#include <algorithm>
#include <cmath>

namespace fuelring {

/// Squared distance from a straight edge to a closed box; 0 where they meet.
double squared_distance(Point a, Point b, const Box& box);

/// Whether two closed boxes share a point, or come nearer than `within` in x and in y.
inline bool boxes_meet(const Box& a, const Box& b, double within = 0)
{
    return a.min.x <= b.max.x + within && b.min.x <= a.max.x + within &&
           a.min.y <= b.max.y + within && b.min.y <= a.max.y + within;
}

/// The smallest box that holds what it took in.
struct Extent {
    Box box{{HUGE_VAL, HUGE_VAL}, {-HUGE_VAL, -HUGE_VAL}};

    void take_in(Point p)
    {
        box.min = {std::min(box.min.x, p.x), std::min(box.min.y, p.y)};
        box.max = {std::max(box.max.x, p.x), std::max(box.max.y, p.y)};
    }
    void take_in(const Box& other)
    {
        take_in(other.min);
        take_in(other.max);
    }
    bool empty() const { return box.min.x > box.max.x; }
};

inline Point middle_of(const Box& box)
{
    return 0.5 * (box.min + box.max);
}

} // namespace fuelring
