// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/body.hpp"

#include <cstdint>
#include <vector>

namespace fuelring {

/// One edge of a footprint, interior to its left, and where the body moves it.
struct Edge {
    Point a;
    Point b;
    Point direction; ///< unit, from a to b
    double length_m = 0;
    Point normal;           ///< unit, outwards: to the right of `direction`
    Point moved;            ///< support point of the normal: the moved edge runs from a + moved
    double parameter = 0;   ///< of the support point
    std::uint32_t next = 0; ///< the edge that leaves b
};

/// How a boundary turns at a corner.
enum class Turn { left, straight, right };

/// A corner that turns by less is straight; also the sine of the turn at which that is decided.
inline constexpr double straight_turn = 1e-12;

/// The turn from one unit direction to the next. Left is convex, right is reflex.
inline Turn turn(Point from, Point to)
{
    const double sine = cross(from, to);
    if (std::abs(sine) <= straight_turn)
        return dot(from, to) > 0 ? Turn::straight : Turn::left;
    return sine > 0 ? Turn::left : Turn::right;
}

/// The edge from a to b. Axis-parallel edges get exact normals.
Edge make_edge(Point a, Point b, const Disc& body);

/// All edges, loop by loop.
std::vector<Edge> edges_of(const Footprint& footprint, const Disc& body);

/// True for one loop without a reflex corner.
bool is_convex(const Footprint& footprint, const std::vector<Edge>& edges);

/// Parameters of the arc about the corner between two edges: the second is never below the first.
struct ArcRange {
    double t0 = 0;
    double t1 = 0;
};
inline ArcRange arc_about_corner(const Edge& in, const Edge& out)
{
    const double t1 = out.parameter;
    return {in.parameter, t1 < in.parameter ? t1 + full_turn : t1};
}

} // namespace fuelring
