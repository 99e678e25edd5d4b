// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/outline.hpp>

namespace fuelring {

/// Straight pieces for a quarter of a circle in `outline_of_capsules`: chords stay within
/// r (pi / (4 x 256))^2 / 2, 5e-6 r, of their arcs.
inline constexpr int capsule_quadrant_pieces = 256;

/// Everything within r of a footprint as GEOS unites it from the footprint and one tessellated
/// capsule per edge. The last resort; `method` is OutlineMethod::capsules.
/// Throws: std::runtime_error with GEOS's reason.
Outline outline_of_capsules(const Footprint& footprint, double r_m);

} // namespace fuelring
