// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

namespace fuelring {

/// How rings beyond the innermost are stretched where a structure stands on a slope. The ring of
/// nominal distance r then ends at `down` x r due downhill of the wall, at r due uphill and at
/// `across` x r to the sides; distances are horizontal. In between it is the footprint swept by an
/// egg of two half ellipses (src/geometry/README.md).
struct RingStretch {
    double down = 1;      ///< at least 1
    double across = 1;    ///< at least 1
    Point downhill{1, 0}; ///< unit vector in the structure's local frame: where the ground falls

    bool is_round() const { return down == 1 && across == 1; }
    friend bool operator==(const RingStretch&, const RingStretch&) = default;
};

} // namespace fuelring
