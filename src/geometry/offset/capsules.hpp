// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/offset/body.hpp"

namespace fuelring {

/// Straight pieces for a quarter turn in `outline_of_capsules`: chords stay within
/// r (pi / (4 x 256))^2 / 2, 5e-6 r, of their arcs; r is the longest semi-axis of an egg.
inline constexpr int capsule_quadrant_pieces = 256;

/// A footprint grown by a body as GEOS unites it from the footprint and one tessellated hull of
/// (edge + body) per edge: a capsule. The last resort; `method` is OutlineMethod::capsules.
/// Throws: std::runtime_error with GEOS's reason.
template <typename Body>
Outline outline_of_capsules(const Footprint& footprint, const Body& body);

} // namespace fuelring
