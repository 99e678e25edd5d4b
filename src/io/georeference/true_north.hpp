// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/reprojection.hpp"

namespace fuelring {

/// Where the meridian runs at a place, as a unit vector of the CRS that `from_wgs84` leads to; (0,
/// 1) where it has no such direction.
Point true_north(double lon_deg, double lat_deg, const Reprojection& from_wgs84);

} // namespace fuelring
