// SPDX-License-Identifier: Apache-2.0
#include "geometry/angles.hpp"

#include <fuelring/outline.hpp>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

/// Widens a range by centre + cos t u + sin t v, in one coordinate: hypot(u, v) cos(t - top).
void widen(double& low, double& high, double centre, double u, double v, const Piece& arc)
{
    const double furthest = std::hypot(u, v);
    const double top = std::atan2(v, u);
    const auto passes = [&arc](double t) {
        return t + std::ceil((arc.t0 - t) / full_turn) * full_turn <= arc.t1;
    };
    if (passes(top))
        high = std::max(high, centre + furthest);
    if (passes(top + full_turn / 2))
        low = std::min(low, centre - furthest);
}

} // namespace

Box Piece::box() const
{
    Box box = Box::between(start, end);
    if (arc) {
        widen(box.min.x, box.max.x, centre.x, u.x, v.x, *this);
        widen(box.min.y, box.max.y, centre.y, u.y, v.y, *this);
    }
    return box;
}

} // namespace fuelring
