// SPDX-License-Identifier: Apache-2.0

// The outline of everything within r of a footprint: the footprint swept by a disc, or on a slope
// by an egg. The footprint is then turned into the frame of the slope and its outline back.
//
// Convex footprints: every edge moved out by r, and an arc about every corner. Others: the same
// pieces of all loops contain the boundary; cut where they cross, each stretch belongs to it as a
// whole or not at all, and its middle tells. Nothing is chained: integrals only need the sum of the
// oriented pieces, and welding shows whether they close. Pieces that do not (a pocket exactly 2 r
// wide can do it) are sought again at r (1 + 1e-9), and if need be made by GEOS.
#include "geometry/offset/capsules.hpp"
#include "geometry/offset/crossings.hpp"
#include "geometry/offset/outline_of_valid.hpp"
#include "geometry/offset/welding.hpp"
#include "geometry/point_hash.hpp"
#include "geometry/require.hpp"
#include "geometry/tolerances.hpp"

#include <fuelring/outline.hpp>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>

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

template <typename Body>
Piece piece_of(const RawPiece& raw, const Body& body)
{
    if (!raw.arc)
        return Piece::line(raw.start, raw.end);
    return {raw.start, raw.end, true, raw.base, body.u(raw.half), body.v(), raw.t0, raw.t1};
}

/// The stretches between cuts that lie on the boundary: no edge is nearer than r to their middle,
/// and the middle is not inside the footprint. A stretch lies on the boundary as a whole or not at
/// all: to change sides it would have to meet the boundary, which is made of such pieces, and there
/// it was cut.
template <typename Body>
std::vector<Piece> stretches_on_boundary(const std::vector<RawPiece>& pieces,
                                         const std::vector<Cut>& cuts, EdgeIndex<Body>& index,
                                         const Body& body)
{
    std::vector<Piece> kept;
    kept.reserve(pieces.size() + cuts.size() / 2);
    for_each_stretch(pieces, cuts, [&](std::uint32_t i, const Stretch& s) {
        const RawPiece& raw = pieces[i];
        const Point middle =
            raw.arc ? raw.base + body.at(raw.half, 0.5 * (s.t0 + s.t1)) : 0.5 * (s.start + s.end);
        if (!index.covers(middle, raw.in, raw.out) && !index.surround(middle))
            kept.push_back(piece_of(raw, body).part(s.t0, s.start, s.t1, s.end));
    });
    return kept;
}

/// Empty where the pieces do not close.
template <typename Body>
std::optional<std::vector<Piece>> grown_concave(const std::vector<Edge>& edges, const Body& body)
{
    EdgeIndex<Body> index{edges, body};
    const std::vector<RawPiece> raw = raw_pieces(edges, body, index);
    const std::vector<Cut> cuts = cuts_at_crossings(raw, edges, body);
    std::vector<Piece> kept = stretches_on_boundary(raw, cuts, index, body);
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
    const auto out = [&slope](Point z) { return slope.out(z); };
    for (Piece& piece : outline.pieces)
        piece = piece.mapped(out, out);
    return outline;
}

void require_distance(double r_m, const RingStretch& stretch)
{
    require(r_m > 0 && r_m <= farthest_local_m, "outline: the distance must be above 0 and finite");
    const Point d = stretch.downhill;
    require(stretch.down >= 1 && stretch.across >= 1 && std::abs(dot(d, d) - 1) < 1e-9,
            "outline: factors of a stretch are at least 1, downhill is a unit vector");
    require(r_m * stretch.down <= farthest_local_m && r_m * stretch.across <= farthest_local_m,
            "outline: the stretched distance is not finite or too long");
}

/// How far an end of an arc may lie from where its parameter says, in metres and of its radius.
constexpr double end_slack_m = 1e-6;
constexpr double end_slack_frac = 1e-9;

bool is_finite(Point p)
{
    return is_local(p, 4 * farthest_local_m);
}

bool is_arc(const Piece& p)
{
    if (!is_finite(p.centre) || !is_finite(p.u) || !is_finite(p.v) || !(cross(p.u, p.v) > 0) ||
        !(p.t1 > p.t0) || !(p.t1 - p.t0 <= full_turn * (1 + end_slack_frac)) ||
        !(std::abs(p.t0) <= 2 * full_turn))
        return false;
    const auto off = [&p](double t, Point end) {
        const Point d = p.at(t) - end;
        return std::max(std::abs(d.x), std::abs(d.y));
    };
    const double slack =
        end_slack_m + end_slack_frac * std::sqrt(std::max(dot(p.u, p.u), dot(p.v, p.v)));
    return off(p.t0, p.start) <= slack && off(p.t1, p.end) <= slack;
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
    require_valid(footprint);
    return outline_of_valid(footprint, r_m, stretch);
}

Outline outline_of_valid(const Footprint& footprint, double r_m, const RingStretch& stretch)
{
    require_distance(r_m, stretch);
    return stretch.is_round() ? grown(footprint, Disc{r_m})
                              : grown_on_slope(footprint, r_m, stretch);
}

Box reach_around(double r_m, const RingStretch& stretch)
{
    require_distance(r_m, stretch);
    if (stretch.is_round())
        return {{-r_m, -r_m}, {r_m, r_m}};
    const SlopeFrame slope{stretch.downhill};
    const Egg egg{r_m, stretch.down, stretch.across};
    const auto furthest = [&](Point direction) {
        // The support function of the egg in the direction of an axis.
        const Point n = slope.in(direction);
        return dot(n, egg.support(n));
    };
    return {{-furthest({-1, 0}), -furthest({0, -1})}, {furthest({1, 0}), furthest({0, 1})}};
}

void require_valid(const Outline& outline)
{
    std::uint64_t entered = 0; // sums of hashes of ends: equal where every end is a start
    std::uint64_t left = 0;
    for (const Piece& p : outline.pieces) {
        require(is_finite(p.start) && is_finite(p.end) && (!p.arc || is_arc(p)),
                "outline: a piece is not finite, or an arc whose ends are not where it says");
        left += hash_of(p.start);
        entered += hash_of(p.end);
    }
    require(!outline.pieces.empty() && entered == left,
            "outline: its pieces do not close (as outline_within and outline_of make them)");
}

// Green's theorem, area = integral of x dy: the trapezoid under the chord of each piece, and of an
// arc the segment beyond it, on the unit circle (dt - sin dt) / 2, times the determinant of (u, v).
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
    Box box = Box::nothing();
    for (const Piece& p : outline.pieces) {
        const Box of_piece = p.box();
        box.take_in(of_piece.min);
        box.take_in(of_piece.max);
    }
    return box;
}

} // namespace fuelring
