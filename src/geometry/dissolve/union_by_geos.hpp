// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/outline.hpp>

#include <vector>

namespace fuelring {

/// What one region has beyond all the others, as GEOS finds it from outlines whose arcs are cut
/// into chords of at most a 256th of a quarter turn. The last resort where exact pieces do not
/// close. Throws: std::runtime_error with GEOS's reason.
/// Shape: straight pieces, closed, all in one frame; none where nothing is left.
Outline difference_by_geos(const Outline& region, const std::vector<Outline>& others);

} // namespace fuelring
