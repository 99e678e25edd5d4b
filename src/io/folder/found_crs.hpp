// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/folder/found.hpp"

class OGRSpatialReference;

namespace fuelring {

/// What a file says of its system; empty where it says nothing.
FoundCrs found_crs(const OGRSpatialReference* srs);

/// A length in units of a system, in metres: at latitude `y` where these are degrees, the mean of
/// both directions. Good to a per cent or so, to tell a house from a district.
double rough_metres(const OGRSpatialReference* srs, double units, double y);

} // namespace fuelring
