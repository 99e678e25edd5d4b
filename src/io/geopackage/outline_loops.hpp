// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/outline.hpp>

namespace fuelring {

/// How far the chords of written outlines may stay off their arcs.
inline constexpr double written_chord_m = 1e-3;

/// An outline as loops of vertices, its region to their left: pieces chained end to end, arcs as
/// chords with their vertices on the arc and no more than `chord_m` off it.
/// Law: no loop comes to the same vertex twice; where loops touch they do not cross.
/// Requires: an outline that closes, as outline_within gives it.
/// Loops of two vertices, which hold no ground, are left out.
std::vector<Loop> loops_of(const Outline& outline, double chord_m = written_chord_m);

/// The ground between two nested outlines, by its loops.
/// Law: its area is that of the outer ground less the inner, but for what chords cut off.
Footprint ring_between(const Outline& outer, const Outline& inner,
                       double chord_m = written_chord_m);

} // namespace fuelring
