// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/offset/body.hpp"

#include <vector>

namespace fuelring {

/// Where the boundaries of two eggs cross: unit directions on the circles of their halves.
struct HalfCrossing {
    Point downhill; ///< of the one about the origin
    Point uphill;   ///< of the one about `to`
};

/// Crossings of the downhill half of an egg about the origin with the uphill half of the same egg
/// about `to`: none, one or two.
std::vector<HalfCrossing> crossings_of_halves(const Egg& egg, Point to);

} // namespace fuelring
