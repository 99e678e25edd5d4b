// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

#include <vector>

namespace fuelring {

/// Shifts of footprints against the raster, in metres: places spread evenly over the disc of
/// radius `radius_m`, no direction before another. The first is no shift at all.
/// Law: a fixed set: the first n are the same bits for any number of draws. Of 2^a 3^b consecutive
///      ones each cell of the disc holds one, where 2^a rings of equal area are cut into 3^b equal
///      sectors.
/// Throws: std::logic_error for draws below 0 or a radius that is negative or not finite.
/// Source: Halton 1960, Numerische Mathematik 2:84-90, doi:10.1007/BF01386213: radical inverses, in
///         base 2 for the area inside and in base 3 for the direction.
std::vector<Point> registration_shifts(int draws, double radius_m);

} // namespace fuelring
