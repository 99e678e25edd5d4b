// SPDX-License-Identifier: Apache-2.0
#include "geometry/arc_box.hpp"

#include "geometry/angles.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

/// Widens a range by centre + cos t u + sin t v, in one coordinate.
void widen_range(double& low, double& high, double centre, double u, double v, const Piece& arc)
{
    const double reach = std::hypot(u, v);
    const double top = std::atan2(v, u);
    const auto passes = [&arc](double t) {
        return t + std::ceil((arc.t0 - t) / full_turn) * full_turn <= arc.t1;
    };
    if (passes(top))
        high = std::max(high, centre + reach);
    if (passes(top + full_turn / 2))
        low = std::min(low, centre - reach);
}

} // namespace

void widen(Box& box, const Piece& arc)
{
    widen_range(box.min.x, box.max.x, arc.centre.x, arc.u.x, arc.v.x, arc);
    widen_range(box.min.y, box.max.y, arc.centre.y, arc.u.y, arc.v.y, arc);
}

} // namespace fuelring
