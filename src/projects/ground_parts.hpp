// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/geos.hpp"

#include <cstdint>
#include <vector>

namespace fuelring {

/// A part of the ground that lies in the same polygons everywhere.
struct GroundPart {
    std::vector<std::uint32_t> polygons; ///< numbers of those that hold it, rising; at least one
    std::vector<RawPolygon> ground;      ///< in the unit of the polygons
};

/// Cuts polygons along each other. `polygons[k]` is the ground of polygon k, clean (geos_union).
/// Law: parts do not overlap; the parts that list a polygon make up its ground, to rounding. Parts
/// of less than 1e-9 square units are left out. The result depends on the polygons and their order
/// alone. Throws: std::runtime_error with GEOS's reason.
std::vector<GroundPart> ground_parts(const std::vector<std::vector<RawPolygon>>& polygons);

} // namespace fuelring
