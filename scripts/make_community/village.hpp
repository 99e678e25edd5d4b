// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "community.hpp"
#include "tools/paint.hpp"

#include <cstdint>

namespace community {

/// Villages stand on squares of this side.
inline constexpr double village_pitch_m = 800;

/// The village of that number, on the square whose south-west corner is the origin. Its structures
/// have no ids yet.
Community found_village(std::uint64_t seed, int number);

/// Moved by whole metres, which keeps every vertex exact.
void move(Community& community, Point by);

/// Fills the canvas with the land between villages.
void grow_wilderness(std::uint64_t seed, Canvas& canvas);

} // namespace community
