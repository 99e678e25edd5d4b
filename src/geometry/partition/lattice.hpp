// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

#include <cmath>
#include <compare>
#include <cstdint>
#include <vector>

namespace fuelring {

/// Products of lattice coordinates. Differences of points stay below 2^41, so cross and dot
/// products stay below 2^83: no test on the lattice rounds or overflows.
__extension__ using Wide = __int128;

/// Parcel lines run between points of a lattice, this many to a unit of the grid (1024 to the
/// metre: finer than any survey). Integers make the map of parcels exact: what crosses, what
/// touches and what lies where is decided without rounding.
inline constexpr double lattice_per_unit = 1024;

/// A point of the lattice; coordinates stay below 2^40 (a billion metres).
struct LatticePoint {
    std::int64_t x = 0;
    std::int64_t y = 0;

    friend auto operator<=>(const LatticePoint&, const LatticePoint&) = default;
    friend LatticePoint operator-(LatticePoint a, LatticePoint b) { return {a.x - b.x, a.y - b.y}; }
};
using LatticeLoop = std::vector<LatticePoint>;

/// Twice the area that two vectors span, above 0 where `b` lies to the left of `a`.
inline Wide cross(LatticePoint a, LatticePoint b)
{
    return static_cast<Wide>(a.x) * b.y - static_cast<Wide>(a.y) * b.x;
}
/// Exact, as `cross`: above 0 where the angle between them is acute.
inline Wide dot(LatticePoint a, LatticePoint b)
{
    return static_cast<Wide>(a.x) * b.x + static_cast<Wide>(a.y) * b.y;
}

/// From units of the grid to the nearest lattice point, and back, which is exact: 1024 is a power
/// of two, and 2^40 leaves twelve bits of a double.
/// Error: half a step, 0.49 mm, along each axis. Requires: coordinates below 2^30 units.
inline LatticePoint to_lattice(Point p)
{
    return {std::llround(p.x * lattice_per_unit), std::llround(p.y * lattice_per_unit)};
}
inline Point from_lattice(LatticePoint p)
{
    return {static_cast<double>(p.x) / lattice_per_unit,
            static_cast<double>(p.y) / lattice_per_unit};
}

/// A straight line between two points of the lattice. Where lines are compared, `a` is before `b`:
/// further left, or as far and lower.
struct LatticeSegment {
    LatticePoint a;
    LatticePoint b;
    friend auto operator<=>(const LatticeSegment&, const LatticeSegment&) = default;
};

} // namespace fuelring
