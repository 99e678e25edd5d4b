// SPDX-License-Identifier: Apache-2.0

// Where raw pieces cross. Touching is not crossing: overlaps below 1e-12 of the body are ignored,
// since gaps of exactly 2 r are common on drawn outlines. A moved edge never crosses an arc about
// one of its own ends (it touches it), nor the moved edge that follows it (raw_pieces.cpp cut
// them). Where a half of the body is involved, lengths are those of its flat frame: there it is a
// circle. Halves of different shape have a file of their own (half_crossings.hpp).
#include "geometry/offset/crossings.hpp"

#include "geometry/box_distance.hpp"
#include "geometry/offset/half_crossings.hpp"
#include "geometry/tolerances.hpp"

#include <algorithm>
#include <numeric>
#include <optional>

namespace fuelring {
namespace {

/// The parameter of an arc at a unit direction on its circle, or nothing beyond its ends.
std::optional<double> parameter_on_arc(const RawPiece& arc, Point direction)
{
    // Arcs are no longer than half a turn, so two half-planes hold their directions.
    if (cross(arc.from, direction) < -end_slack || cross(direction, arc.to) < -end_slack)
        return {};
    double t = std::atan2(direction.y, direction.x);
    if (t < arc.t0 - quarter_turn)
        t += full_turn;
    return t;
}

/// Collects cuts pair by pair. Every crossing is computed once and its point given to both pieces,
/// so that what is left of them meets bit for bit.
template <typename Body>
class Crossings {
public:
    Crossings(const std::vector<RawPiece>& pieces, const std::vector<Edge>& edges, const Body& body)
        : pieces_(pieces), edges_(edges), body_(body)
    {
        cuts_.reserve(2 * pieces.size());
    }

    void cross_pair(std::uint32_t i, std::uint32_t j)
    {
        const bool arc_i = pieces_[i].arc;
        const bool arc_j = pieces_[j].arc;
        if (arc_i && arc_j)
            arc_arc(i, j);
        else if (arc_i)
            line_arc(j, i);
        else if (arc_j)
            line_arc(i, j);
        else
            line_line(i, j);
    }

    std::vector<Cut> sorted() &&
    {
        std::sort(cuts_.begin(), cuts_.end(), [](const Cut& a, const Cut& b) {
            return a.piece != b.piece ? a.piece < b.piece : a.t < b.t;
        });
        return std::move(cuts_);
    }

private:
    /// Is t on a line, or so little beyond it that rounding may have put it there?
    static bool on(const RawPiece& p, double t)
    {
        return t >= p.t0 - end_slack && t <= p.t1 + end_slack;
    }

    /// A cut at or beyond an end changes nothing: the end is a node already.
    void cut(std::uint32_t i, double t, Point point)
    {
        if (t > pieces_[i].t0 && t < pieces_[i].t1)
            cuts_.push_back({i, t, point});
    }

    void line_line(std::uint32_t i, std::uint32_t j)
    {
        const RawPiece& p = pieces_[i];
        const RawPiece& q = pieces_[j];
        const Edge& e = edges_[p.in];
        const Edge& f = edges_[q.in];
        if (same_place(e.b, f.a) || same_place(f.b, e.a))
            return;
        const Point between = q.base - p.base;
        const double sine = cross(p.from, q.from);
        if (std::abs(sine) < parallel) { // on one line they may run over each other
            if (std::abs(cross(p.from, between)) <= same_place_m) {
                cut(i, dot(q.start - p.base, p.from), q.start);
                cut(i, dot(q.end - p.base, p.from), q.end);
                cut(j, dot(p.start - q.base, q.from), p.start);
                cut(j, dot(p.end - q.base, q.from), p.end);
            }
            return;
        }
        const double t = cross(between, q.from) / sine;
        const double s = cross(between, p.from) / sine;
        if (on(p, t) && on(q, s)) {
            const Point point = p.base + t * p.from;
            cut(i, t, point);
            cut(j, s, point);
        }
    }

    void line_arc(std::uint32_t line, std::uint32_t arc)
    {
        const RawPiece& p = pieces_[line];
        const RawPiece& q = pieces_[arc];
        const Edge& e = edges_[p.in];
        if (same_place(e.a, q.base) || same_place(e.b, q.base))
            return;
        const Point between = body_.flat(q.half, q.base - p.base);
        Point along = body_.flat(q.half, p.from);
        double metres = 1; // along the line, per unit of the flat frame
        if constexpr (Body::halved) {
            metres = 1 / std::sqrt(dot(along, along));
            along = metres * along;
        }
        // The line passes the centre at `offset` radii; it meets the circle half a chord before and
        // behind the foot of the perpendicular.
        const double offset = cross(along, between) / body_.r_m;
        if (std::abs(offset) > 1 - touching)
            return;
        const double foot = dot(between, along);
        const double half = body_.r_m * std::sqrt((1 - offset) * (1 + offset));
        for (const double t : {metres * (foot - half), metres * (foot + half)}) {
            if (!on(p, t))
                continue;
            const Point point = p.base + t * p.from;
            const auto s =
                parameter_on_arc(q, (1 / body_.r_m) * body_.flat(q.half, point - q.base));
            if (s) {
                cut(line, t, point);
                cut(arc, *s, point);
            }
        }
    }

    void arc_arc(std::uint32_t i, std::uint32_t j)
    {
        const RawPiece& p = pieces_[i];
        const RawPiece& q = pieces_[j];
        if constexpr (Body::halved)
            if (p.half != q.half) {
                if (p.half == Half::downhill)
                    half_half(i, j);
                else
                    half_half(j, i);
                return;
            }
        if (same_place(p.base, q.base)) {
            cut_at_ends(i, j);
            cut_at_ends(j, i);
            return;
        }
        const Point between = body_.flat(p.half, q.base - p.base);
        // In radii: half-way to the other centre, then up or down to where the circles meet.
        const double half_m = std::sqrt(dot(between, between)) / 2;
        const double share = half_m / body_.r_m;
        if (share > 1 - touching)
            return;
        const double height = std::sqrt((1 - share) * (1 + share));
        const Point along = (share / (2 * half_m)) * between;
        const Point across = (height / (2 * half_m)) * Point{-between.y, between.x};
        for (const Point up : {across, -1 * across}) {
            const auto t = parameter_on_arc(p, along + up);
            const auto s = t ? parameter_on_arc(q, up - along) : t;
            if (s) {
                const Point point = p.base + body_.r_m * body_.steep(p.half, along + up);
                cut(i, *t, point);
                cut(j, *s, point);
            }
        }
    }

    /// An arc of the downhill half and one of the uphill half.
    void half_half(std::uint32_t i, std::uint32_t j)
    {
        const RawPiece& p = pieces_[i];
        const RawPiece& q = pieces_[j];
        if (same_place(p.base, q.base))
            return; // they share ends at most
        for (const HalfCrossing& c : crossings_of_halves(body_, q.base - p.base)) {
            const auto t = parameter_on_arc(p, c.downhill);
            const auto s = t ? parameter_on_arc(q, c.uphill) : t;
            if (s) {
                const Point point = p.base + body_.r_m * body_.steep(p.half, c.downhill);
                cut(i, *t, point);
                cut(j, *s, point);
            }
        }
    }

    /// Arcs about one place run over each other: cut one at the ends of the other.
    void cut_at_ends(std::uint32_t i, std::uint32_t j)
    {
        const RawPiece& other = pieces_[j];
        if (const auto t = parameter_on_arc(pieces_[i], other.from))
            cut(i, *t, other.start);
        if (const auto t = parameter_on_arc(pieces_[i], other.to))
            cut(i, *t, other.end);
    }

    const std::vector<RawPiece>& pieces_;
    const std::vector<Edge>& edges_;
    const Body& body_;
    std::vector<Cut> cuts_;
};

} // namespace

template <typename Body>
std::vector<Cut> cuts_at_crossings(const std::vector<RawPiece>& pieces,
                                   const std::vector<Edge>& edges, const Body& body)
{
    std::vector<std::uint32_t> by_x(pieces.size());
    std::iota(by_x.begin(), by_x.end(), 0U);
    std::sort(by_x.begin(), by_x.end(), [&](std::uint32_t i, std::uint32_t j) {
        const double x = pieces[i].box.min.x;
        const double y = pieces[j].box.min.x;
        return x != y ? x < y : i < j;
    });
    Crossings<Body> crossings{pieces, edges, body};
    for (std::size_t i = 0; i < by_x.size(); ++i) {
        const Box& box = pieces[by_x[i]].box;
        for (std::size_t j = i + 1; j < by_x.size(); ++j) {
            const Box& other = pieces[by_x[j]].box;
            if (other.min.x > box.max.x + same_place_m)
                break;
            if (boxes_meet(box, other, same_place_m))
                crossings.cross_pair(std::min(by_x[i], by_x[j]), std::max(by_x[i], by_x[j]));
        }
    }
    return std::move(crossings).sorted();
}

template std::vector<Cut> cuts_at_crossings(const std::vector<RawPiece>&, const std::vector<Edge>&,
                                            const Disc&);
template std::vector<Cut> cuts_at_crossings(const std::vector<RawPiece>&, const std::vector<Edge>&,
                                            const Egg&);

} // namespace fuelring
