// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/offset/body.hpp"

#include <cstdint>
#include <vector>

namespace fuelring {

/// One edge of a footprint, interior to its left, and where the body moves it: the points of the
/// swept footprint that are furthest along `normal` are the edge moved by the body's support point.
struct Edge : Segment {
    Point normal;           ///< unit, outwards: to the right of `direction`
    Point moved;            ///< support point of the normal: the moved edge runs from a + moved
    Point circle;           ///< its direction on the circle of its half of the body
    double parameter = 0;   ///< its angle there
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

/// The edge from a to b, which are apart. Axis-parallel edges get exact lengths, directions and
/// normals. `next` is left to edges_of.
template <typename Body>
Edge make_edge(Point a, Point b, const Body& body);

/// All edges, loop by loop. Law: edges[e.next].a is e.b, bit for bit.
template <typename Body>
std::vector<Edge> edges_of(const Footprint& footprint, const Body& body);

/// True for one loop without a reflex corner.
bool is_convex(const Footprint& footprint, const std::vector<Edge>& edges);

/// A part of the arc about a convex corner that lies on one half of the body. Law: 0 < t1 - t0 <=
/// half a turn but for rounding; `start` and `end` are shared with what comes before and behind.
struct HalfArc {
    Half half = Half::downhill;
    double t0 = 0;
    double t1 = 0;
    Point from; ///< directions of its ends on the circle of that half
    Point to;
    Point start;
    Point end;
};

/// Calls visit(HalfArc) for the parts of the arc about the corner between two edges, in order: of a
/// disc one, of an egg up to three, cut where the halves meet, at (0, r across) and its opposite.
/// Requires: the corner is convex; normals then turn counter-clockwise by at most half a turn.
template <typename Body, typename Visit>
void for_each_half_arc(const Edge& in, const Edge& out, const Body& body, Visit&& visit)
{
    const double t0 = in.parameter;
    const double t1 = out.parameter < t0 ? out.parameter + full_turn : out.parameter;
    HalfArc arc{Half::downhill, t0, t1, in.circle, out.circle, in.b + in.moved, in.b + out.moved};
    if constexpr (Body::halved) {
        constexpr double half_turn = 2 * quarter_turn;
        // Halves meet at odd numbers of quarter turns.
        double k = std::floor((t0 + straight_turn - quarter_turn) / half_turn) + 1;
        for (; quarter_turn + k * half_turn < t1 - straight_turn; ++k) {
            HalfArc part = arc;
            part.half = std::fmod(std::abs(k), 2) == 0 ? Half::downhill : Half::uphill;
            part.t1 = quarter_turn + k * half_turn;
            part.to = {0, part.half == Half::downhill ? 1.0 : -1.0};
            part.end = in.b + part.to.y * body.v();
            if (same_place(part.end, arc.start) || same_place(part.end, arc.end))
                continue; // too short for a part of its own
            visit(part);
            arc.t0 = part.t1;
            arc.from = part.to;
            arc.start = part.end;
        }
        arc.half = std::cos(0.5 * (arc.t0 + t1)) >= 0 ? Half::downhill : Half::uphill;
    }
    visit(arc);
}

} // namespace fuelring
