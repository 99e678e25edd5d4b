// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/partition/lattice.hpp"

namespace fuelring {

/// Says that a parcel has this line on its boundary: `winding` is 1 where the parcel lies to the
/// left of a -> b, -1 where it lies to the right. a is before b in the order of the lattice.
struct ParcelClaim {
    LatticeSegment line;
    std::int32_t parcel = 0;
    std::int32_t winding = 0;
};

/// Splits lines where they meet, so that afterwards two lines are the same or share no more than
/// ends. Lines move by less than a step of the lattice (snap rounding).
/// Law: sorted by line and parcel; one claim for each line and parcel, none of winding 0; the
/// claims of a parcel still form closed loops.
/// Throws: std::runtime_error where lines still meet after 50 rounds; two or three are usual.
/// Source: snap rounding (noding.cpp).
std::vector<ParcelClaim> noded(std::vector<ParcelClaim> claims);

} // namespace fuelring
