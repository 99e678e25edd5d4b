// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/partition/noding.hpp"
#include "geometry/partition/parcel_map.hpp"

namespace fuelring {

/// What lies on the two sides of noded lines.
struct ParcelFaces {
    std::vector<ParcelLine> lines; ///< those with different parcels on their sides
    std::vector<ParcelOverlap> overlaps;
};

/// `claims` as `noded` returns them.
ParcelFaces faces_of(const std::vector<ParcelClaim>& claims);

} // namespace fuelring
