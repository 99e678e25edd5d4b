// SPDX-License-Identifier: Apache-2.0

// Every point of the boundary is a support point of the body set on an edge or a corner, so moved
// edges and arcs about convex corners hold it all. At a reflex corner two moved edges cross; both
// end at the crossing. What one edge covers as a whole is left out before any crossing is computed:
// of most roofs little remains to be cut.
#include "geometry/offset/raw_pieces.hpp"

#include <algorithm>
#include <numeric>

namespace fuelring {
namespace {

/// How far from a reflex corner its moved edges cross: back along `in`, on along `out`.
struct Tails {
    double in_m;
    double out_m;
};

/// Where a half is a circle, the tangents at two of its points cross r tan(turn / 2) from both, and
/// tan(a / 2) = sin a / (1 + cos a). Above 0 for a turn to the right.
double tail_on_circle(Point in, Point out, double r_m)
{
    return -r_m * cross(in, out) / (1 + dot(in, out));
}

Tails tails_at(const Edge& in, const Edge& out, const Disc& body)
{
    const double tail_m = tail_on_circle(in.direction, out.direction, body.r_m);
    return {tail_m, tail_m};
}

/// From the point (0, side) where the halves meet to a support point. Near there the difference
/// across the slope is of second order and must not come out of a subtraction.
/// On the unit circle 1 - |y| = x^2 / (1 + |y|).
Point from_pole(const Edge& edge, double side, const Egg& body)
{
    const Point c = edge.circle;
    const double y = side * c.y > 0 ? -side * c.x * c.x / (1 + std::abs(c.y)) : c.y - side;
    return body.r_m * body.steep(body.half_of(edge.normal), {c.x, y});
}

Tails tails_at(const Edge& in, const Edge& out, const Egg& body)
{
    const Half half = body.half_of(in.normal);
    if (half == body.half_of(out.normal)) {
        const Point i = body.flat(half, in.direction);
        const Point o = body.flat(half, out.direction);
        const double per_i = 1 / i.length();
        const double per_o = 1 / o.length();
        // A metre along `in` is |i| long in the flat frame, where the half is a circle.
        const double tail = tail_on_circle(per_i * i, per_o * o, body.r_m);
        return {tail * per_i, tail * per_o};
    }
    // Normals turn clockwise here: from the downhill half to the uphill one through (0, -1).
    const double side = half == Half::downhill ? -1 : 1;
    const Point between = from_pole(out, side, body) - from_pole(in, side, body);
    // Moved lines cross where s in - t out = between; crossed with out that gives s, with in t.
    const double sine = cross(in.direction, out.direction);
    return {-cross(between, out.direction) / sine, -cross(in.direction, between) / sine};
}

/// Cuts the moved edges of a reflex corner where they cross and drops the tails beyond, untested:
/// each lies nearer than r to the other edge, but of a nearly straight corner by less than any
/// tolerance. Both get the same point.
template <typename Body>
void trim_at_reflex_corner(const Edge& in, const Edge& out, Stretch& left_of_in,
                           Stretch& left_of_out, const Body& body)
{
    const Tails tails = tails_at(in, out, body);
    if (!(tails.in_m <= in.length_m && tails.out_m <= out.length_m))
        return; // they do not cross
    const Point crossing = out.a + out.moved + tails.out_m * out.direction;
    if (in.length_m - tails.in_m < left_of_in.t1) {
        left_of_in.t1 = in.length_m - tails.in_m;
        left_of_in.end = crossing;
    }
    if (tails.out_m > left_of_out.t0) {
        left_of_out.t0 = tails.out_m;
        left_of_out.start = crossing;
    }
}

/// Calls visit(in, out) for every edge that enters a place and every edge that leaves it: the two
/// of a corner, and where parts touch in a point also those of one part with those of the other.
template <typename Visit>
void for_each_corner(const std::vector<Edge>& edges, Visit&& visit)
{
    std::vector<std::uint32_t> by_x(edges.size());
    std::iota(by_x.begin(), by_x.end(), 0U);
    std::sort(by_x.begin(), by_x.end(), [&](std::uint32_t i, std::uint32_t j) {
        return edges[i].b.x != edges[j].b.x ? edges[i].b.x < edges[j].b.x : i < j;
    });
    for (std::size_t i = 0; i < by_x.size(); ++i) {
        const Edge& in = edges[by_x[i]];
        visit(by_x[i], in.next);
        for (std::size_t j = i + 1; j < by_x.size() && edges[by_x[j]].b.x - in.b.x <= same_place_m;
             ++j)
            if (same_place(in.b, edges[by_x[j]].b)) {
                visit(by_x[i], edges[by_x[j]].next);
                visit(by_x[j], in.next);
            }
    }
}

/// What every moved edge keeps after the reflex corners at its ends.
template <typename Body>
std::vector<Stretch> trimmed(const std::vector<Edge>& edges, const Body& body)
{
    std::vector<Stretch> trims;
    trims.reserve(edges.size());
    for (const Edge& e : edges) {
        const Edge& next = edges[e.next];
        // Along a straight corner the two ends are apart by rounding only.
        const bool straight = turn(e.direction, next.direction) == Turn::straight;
        const Point end = straight ? next.a + next.moved : e.b + e.moved;
        trims.push_back({0, e.length_m, e.a + e.moved, end});
    }
    for_each_corner(edges, [&](std::uint32_t in, std::uint32_t out) {
        if (turn(edges[in].direction, edges[out].direction) == Turn::right)
            trim_at_reflex_corner(edges[in], edges[out], trims[in], trims[out], body);
    });
    return trims;
}

RawPiece moved_edge(const Edge& edge, std::uint32_t index, const Stretch& left)
{
    return {{.t0 = left.t0,
             .t1 = left.t1,
             .start = left.start,
             .end = left.end,
             .base = edge.a + edge.moved,
             .from = edge.direction},
            index,
            index};
}

RawPiece corner_arc(const Edge& in, std::uint32_t index, const HalfArc& arc)
{
    return {{.arc = true,
             .t0 = arc.t0,
             .t1 = arc.t1,
             .start = arc.start,
             .end = arc.end,
             .base = in.b,
             .from = arc.from,
             .to = arc.to},
            index,
            in.next,
            arc.half};
}

template <typename Body>
Box box_of(const RawPiece& piece, const Body& body)
{
    Box box = Box::between(piece.start, piece.end);
    if (!piece.arc)
        return box;
    // An arc reaches as far as the body at every quarter turn that it passes.
    const double first = std::ceil(piece.t0 / quarter_turn);
    const Point c = piece.base;
    for (double q = first; q * quarter_turn <= piece.t1; ++q) {
        const int quarter = static_cast<int>(q) & 3;
        const double extent_m = body.extent_m(quarter);
        switch (quarter) {
        case 0:
            box.max.x = c.x + extent_m;
            break;
        case 1:
            box.max.y = c.y + extent_m;
            break;
        case 2:
            box.min.x = c.x - extent_m;
            break;
        default:
            box.min.y = c.y - extent_m;
        }
    }
    return box;
}

} // namespace

template <typename Body>
std::vector<RawPiece> raw_pieces(const std::vector<Edge>& edges, const Body& body,
                                 EdgeIndex<Body>& index)
{
    const std::vector<Stretch> left = trimmed(edges, body);
    std::vector<RawPiece> pieces;
    pieces.reserve(2 * edges.size());
    for (std::uint32_t i = 0; i < edges.size(); ++i) {
        const Edge& edge = edges[i];
        const Edge& next = edges[edge.next];
        if (left[i].t1 > left[i].t0 && !index.covers_line(left[i].start, left[i].end, i))
            pieces.push_back(moved_edge(edge, i, left[i]));
        if (turn(edge.direction, next.direction) == Turn::left &&
            !index.covers_arc(edge.b + edge.moved, edge.b + next.moved, i, edge.next))
            for_each_half_arc(edge, next, body, [&](const HalfArc& arc) {
                pieces.push_back(corner_arc(edge, i, arc));
            });
    }
    for (RawPiece& piece : pieces)
        piece.box = box_of(piece, body);
    return pieces;
}

template std::vector<RawPiece> raw_pieces(const std::vector<Edge>&, const Disc&, EdgeIndex<Disc>&);
template std::vector<RawPiece> raw_pieces(const std::vector<Edge>&, const Egg&, EdgeIndex<Egg>&);

} // namespace fuelring
