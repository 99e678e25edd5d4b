// SPDX-License-Identifier: Apache-2.0
#include "geometry/raw_pieces.hpp"

#include <algorithm>
#include <numeric>

namespace fuelring {
namespace {

/// What is left of a moved edge: metres from its start, and the points there.
struct Trim {
    double t0;
    double t1;
    Point start;
    Point end;
};

/// Cuts the moved edges of a reflex corner where they cross and drops the tails beyond, untested:
/// each lies nearer than r to the other edge, but of a nearly straight corner by less than any
/// tolerance. Both get the same point.
void trim_at_reflex_corner(const Edge& in, const Edge& out, Trim& trim_in, Trim& trim_out,
                           const Disc& body)
{
    // From the corner the crossing lies r tan(turn / 2) back along `in` and on along `out`.
    const double tail_m =
        -body.r_m * cross(in.direction, out.direction) / (1 + dot(in.direction, out.direction));
    if (!(tail_m <= in.length_m && tail_m <= out.length_m))
        return; // they do not cross
    const Point crossing = out.a + out.moved + tail_m * out.direction;
    if (in.length_m - tail_m < trim_in.t1) {
        trim_in.t1 = in.length_m - tail_m;
        trim_in.end = crossing;
    }
    if (tail_m > trim_out.t0) {
        trim_out.t0 = tail_m;
        trim_out.start = crossing;
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
std::vector<Trim> trims(const std::vector<Edge>& edges, const Disc& body)
{
    std::vector<Trim> trims;
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

RawPiece moved_edge(const Edge& edge, std::uint32_t index, const Trim& trim)
{
    RawPiece piece;
    piece.in = piece.out = index;
    piece.base = edge.a + edge.moved;
    piece.from = edge.direction;
    piece.t0 = trim.t0;
    piece.t1 = trim.t1;
    piece.start = trim.start;
    piece.end = trim.end;
    return piece;
}

RawPiece corner_arc(const Edge& in, std::uint32_t index, const Edge& out)
{
    RawPiece piece;
    piece.arc = true;
    piece.in = index;
    piece.out = in.next;
    piece.base = in.b;
    piece.from = in.normal;
    piece.to = out.normal;
    const ArcRange range = arc_about_corner(in, out);
    piece.t0 = range.t0;
    piece.t1 = range.t1;
    piece.start = in.b + in.moved;
    piece.end = in.b + out.moved;
    return piece;
}

Box box_of(const RawPiece& piece, const Disc& body)
{
    const Point a = piece.start;
    const Point b = piece.end;
    Box box{{std::min(a.x, b.x), std::min(a.y, b.y)}, {std::max(a.x, b.x), std::max(a.y, b.y)}};
    if (!piece.arc)
        return box;
    // An arc reaches r from its centre at every quarter turn that it passes.
    const double first = std::ceil(piece.t0 / quarter_turn);
    const Point c = piece.base;
    for (double q = first; q * quarter_turn <= piece.t1; ++q) {
        switch (static_cast<int>(q) & 3) {
        case 0:
            box.max.x = c.x + body.r_m;
            break;
        case 1:
            box.max.y = c.y + body.r_m;
            break;
        case 2:
            box.min.x = c.x - body.r_m;
            break;
        default:
            box.min.y = c.y - body.r_m;
        }
    }
    return box;
}

} // namespace

std::vector<RawPiece> raw_pieces(const std::vector<Edge>& edges, const Disc& body, Walls& walls)
{
    const std::vector<Trim> left = trims(edges, body);
    std::vector<RawPiece> pieces;
    pieces.reserve(2 * edges.size());
    for (std::uint32_t i = 0; i < edges.size(); ++i) {
        const Edge& edge = edges[i];
        const Edge& next = edges[edge.next];
        if (left[i].t1 > left[i].t0 && !walls.covers_line(left[i].start, left[i].end, i))
            pieces.push_back(moved_edge(edge, i, left[i]));
        if (turn(edge.direction, next.direction) == Turn::left &&
            !walls.covers_arc(edge.b + edge.moved, edge.b + next.moved, i, edge.next))
            pieces.push_back(corner_arc(edge, i, next));
    }
    for (RawPiece& piece : pieces)
        piece.box = box_of(piece, body);
    return pieces;
}

} // namespace fuelring
