// SPDX-License-Identifier: Apache-2.0
#include "io/georeference/true_north.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring {

Point true_north(double lon_deg, double lat_deg, const Reprojection& from_wgs84)
{
    constexpr double step_deg = 1e-4; // about ten metres: a meridian is straight over them
    Point here{lon_deg, lat_deg};
    Point there{lon_deg, std::min(lat_deg + step_deg, 90.0)};
    if (!from_wgs84.apply(here) || !from_wgs84.apply(there) || here == there)
        return {0, 1};
    const Point d = there - here;
    return (1 / std::hypot(d.x, d.y)) * d;
}

} // namespace fuelring
