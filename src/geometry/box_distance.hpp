// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

namespace fuelring {

/// Squared distance from p to the straight edge from a to b, which may be one point.
/// Unit: square metres of the frame of all three. Exact but for rounding.
double squared_distance(Point p, Point a, Point b);

/// Squared distance from a straight edge, or a point, to a closed box; 0 where they meet. Where
/// they do not, an end of the edge or a corner of the box is nearest. Unit: square metres of the
/// frame of all three. Exact but for rounding.
double squared_distance(Point a, Point b, const Box& box);

} // namespace fuelring
