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

/// `claims` as `noded` returns them. Law: `lines` are a part of the claims' lines, in their order;
/// areas of overlaps are exact but for their last rounding.
/// Source: winding numbers: a crossed line changes those of its claims, nothing else does.
ParcelFaces faces_of(const std::vector<ParcelClaim>& claims);

} // namespace fuelring
