// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

#include <cstddef>
#include <vector>

namespace fuelring {

/// A shell and its holes, as read: loops may be closed or not, turn either way, cross.
struct RawPolygon {
    std::vector<Loop> loops; ///< [0] is the shell
};

/// A footprint that keeps its law, and what was done to it.
struct RepairedFootprint {
    Footprint footprint;           ///< without loops where no area is left
    Point inside;                  ///< a point of it, for labels; (0, 0) where no area is left
    std::size_t crossed_parts = 0; ///< parts whose outline crossed itself
    double overlap_m2 = 0;         ///< ground that parts had in common, counted once now
};

/// The footprint of polygons as the program reads them: what an outline that crosses itself
/// encloses once is inside, twice is outside (even-odd, GEOS's make_valid by linework); parts that
/// overlap or share a wall are united; repeated vertices and loops without area are dropped. A lone
/// polygon that is valid keeps its vertices.
/// Law: the footprint is empty or passes `require_valid`; repaired again it stays as it is.
/// Throws: std::invalid_argument for a coordinate that is not finite or beyond farthest_local_m;
/// std::runtime_error with GEOS's reason where GEOS cannot.
FUELRING_EXPORT RepairedFootprint repaired(const std::vector<RawPolygon>& parts);

} // namespace fuelring
