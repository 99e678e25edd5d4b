// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/outline.hpp>

#include <cmath>

namespace fuelring {

inline constexpr double quarter_turn = 1.57079632679489661923;
inline constexpr double full_turn = 4 * quarter_turn;

/// The convex body that is swept along a footprint: here the disc of radius r.
/// Everything that knows its shape asks this type: where an edge moves to, how an arc about a
/// corner runs, how deep a point lies.
struct Disc {
    double r_m = 0;

    /// The point of the body furthest along a unit normal: edges move by it. Exact for the four
    /// axis normals.
    Point support(Point normal) const { return r_m * normal; }
    /// The parameter of that support point; it grows with the normal's angle.
    double parameter(Point normal) const { return std::atan2(normal.y, normal.x); }
    /// The point of the boundary at a parameter.
    Point at(double t) const { return {r_m * std::cos(t), r_m * std::sin(t)}; }
    Point u() const { return {r_m, 0}; }
    Point v() const { return {0, r_m}; }
};

} // namespace fuelring
