// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

namespace fuelring {

/// Squared distance from a straight edge to a closed box; 0 where they meet. Where they do not, an
/// end of the edge or a corner of the box is nearest.
double squared_distance(Point a, Point b, const Box& box);

} // namespace fuelring
