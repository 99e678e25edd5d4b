// SPDX-License-Identifier: Apache-2.0

// The outline of everything within r of a footprint: the footprint swept by a disc, or on a slope
// by an egg. The footprint is then turned into the frame of the slope and its outline back.
//
// Convex footprints: every edge moved out by r, and an arc about every corner. Others: the same
// pieces of all loops contain the boundary; cut where they cross, each stretch belongs to it as a
// whole or not at all, and its middle tells. Nothing is chained: integrals only need the sum of the
// oriented pieces, and welding shows whether they close. Pieces that do not (a pocket exactly 2 r
// wide can do it) are sought again at r (1 + 1e-9), and if need be made by GEOS.
#include "geometry/arc_box.hpp"
#include "geometry/capsules.hpp"
#include "geometry/tolerances.hpp"
#include "geometry/trimming.hpp"
#include "geometry/welding.hpp"

#include <fuelring/outline.hpp>

#include <algorithm>
#include <limits>
#include <optional>
#include <stdexcept>

namespace fuelring {
namespace {

template <typename Body>
std::vector<Piece> grown_convex(const std::vector<Edge>& edges, const Body& body)
{
    std::vector<Piece> pieces;
    pieces.reserve(2 * edges.size());
    Point start = edges.front().a + edges.front().moved;
    for (const Edge& edge : edges) {
        const Edge& next = edges[edge.next];
        const Point next_start = next.a + next.moved;
        if (turn(edge.direction, next.direction) == Turn::straight) {
            pieces.push_back(Piece::line(start, next_start));
        } else {
            pieces.push_back(Piece::line(start, edge.b + edge.moved));
            for_each_half_arc(edge, next, body, [&](const HalfArc& arc) {
                pieces.push_back(
                    {arc.start, arc.end, true, edge.b, body.u(arc.half), body.v(), arc.t0, arc.t1});
            });
        }
        start = next_start;
    }
    return pieces;
}

/// Empty where the pieces do not close.
template <typename Body>
std::optional<std::vector<Piece>> grown_concave(const std::vector<Edge>& edges, const Body& body)
{
    Walls<Body> walls{edges, body};
    const std::vector<RawPiece> raw = raw_pieces(edges, body, walls);
    const std::vector<Cut> cuts = cuts_at_crossings(raw, edges, body);
    std::vector<Piece> kept = stretches_on_boundary(raw, cuts, walls, body);
    if (!weld(kept) || kept.empty())
        return {};
    return kept;
}

template <typename Body>
Outline grown(const Footprint& footprint, const Body& body)
{
    const std::vector<Edge> edges = edges_of(footprint, body);
    if (is_convex(footprint, edges))
        return {grown_convex(edges, body), OutlineMethod::exact};
    if (auto pieces = grown_concave(edges, body))
        return {std::move(*pieces), OutlineMethod::exact};
    Body nudged = body;
    nudged.r_m *= nudge;
    if (auto pieces = grown_concave(edges_of(footprint, nudged), nudged))
        return {std::move(*pieces), OutlineMethod::nudged};
    return outline_of_capsules(footprint, body);
}

Outline grown_on_slope(const Footprint& footprint, double r_m, const RingStretch& stretch)
{
    const SlopeFrame slope{stretch.downhill};
    Footprint turned = footprint;
    for (Loop& loop : turned.loops)
        for (Point& p : loop)
            p = slope.in(p);
    Outline outline = grown(turned, Egg{r_m, stretch.down, stretch.across});
    for (Piece& piece : outline.pieces)
        for (Point* p : {&piece.start, &piece.end, &piece.centre, &piece.u, &piece.v})
            *p = slope.out(*p);
    return outline;
}

void require(const Footprint& footprint, double r_m, const RingStretch& stretch)
{
    if (!(r_m > 0) || r_m > std::numeric_limits<double>::max())
        throw std::invalid_argument("outline_within: the distance must be finite and above 0");
    const bool empty = std::all_of(footprint.loops.begin(), footprint.loops.end(),
                                   [](const Loop& loop) { return loop.size() < 3; });
    if (empty)
        throw std::invalid_argument("outline_within: the footprint is empty");
    const Point d = stretch.downhill;
    if (!(stretch.down >= 1 && stretch.across >= 1 && std::isfinite(stretch.down) &&
          std::isfinite(stretch.across) && std::abs(dot(d, d) - 1) < 1e-9))
        throw std::invalid_argument(
            "outline_within: factors are at least 1 and finite, downhill is a unit vector");
}

} // namespace

Outline outline_of(const Footprint& footprint)
{
    Outline outline;
    for (const Loop& loop : footprint.loops)
        for (std::size_t i = 0; i < loop.size(); ++i)
            outline.pieces.push_back(Piece::line(loop[i], loop[(i + 1) % loop.size()]));
    return outline;
}

Outline outline_within(const Footprint& footprint, double r_m, const RingStretch& stretch)
{
    require(footprint, r_m, stretch);
    return stretch.is_round() ? grown(footprint, Disc{r_m})
                              : grown_on_slope(footprint, r_m, stretch);
}

Box reach_around(double r_m, const RingStretch& stretch)
{
    if (stretch.is_round())
        return {{-r_m, -r_m}, {r_m, r_m}};
    const SlopeFrame slope{stretch.downhill};
    const Egg egg{r_m, stretch.down, stretch.across};
    const auto furthest = [&](Point direction) {
        const Point n = slope.in(direction);
        return dot(n, egg.support(n));
    };
    return {{-furthest({-1, 0}), -furthest({0, -1})}, {furthest({1, 0}), furthest({0, 1})}};
}

double area_m2(const Outline& outline)
{
    if (outline.pieces.empty())
        return 0;
    const double origin_x = outline.pieces.front().start.x;
    double sum = 0;
    for (const Piece& p : outline.pieces) {
        sum += 0.5 * ((p.start.x - origin_x) + (p.end.x - origin_x)) * (p.end.y - p.start.y);
        if (p.arc)
            sum += 0.5 * cross(p.u, p.v) * ((p.t1 - p.t0) - std::sin(p.t1 - p.t0));
    }
    return sum;
}

Box bounds(const Outline& outline)
{
    constexpr double inf = std::numeric_limits<double>::infinity();
    Box box{{inf, inf}, {-inf, -inf}};
    for (const Piece& p : outline.pieces) {
        for (const Point end : {p.start, p.end}) {
            box.min = {std::min(box.min.x, end.x), std::min(box.min.y, end.y)};
            box.max = {std::max(box.max.x, end.x), std::max(box.max.y, end.y)};
        }
        if (p.arc)
            widen(box, p);
    }
    return box;
}

} // namespace fuelring
