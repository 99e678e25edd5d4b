// SPDX-License-Identifier: Apache-2.0

// Where raw pieces cross. Touching is not crossing: overlaps below 1e-12 of the body are ignored,
// since gaps of exactly 2 r are common on drawn outlines. A moved edge never crosses an arc about
// one of its own ends (it touches it), nor the moved edge that follows it (raw_pieces.cpp cut
// them). Where a half of the body is involved, lengths are those of its flat frame: there it is a
// circle. Halves of different shape have a file of their own (half_crossings.hpp).
#include "geometry/offset/crossings.hpp"

#include "geometry/offset/half_crossings.hpp"
#include "geometry/tolerances.hpp"

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

/// Collects cuts pair by pair, each crossing computed once.
template <typename Body>
class Crossings {
public:
    Crossings(const std::vector<RawPiece>& pieces, const std::vector<Edge>& edges, const Body& body)
        : pieces_(pieces), edges_(edges), body_(body)
    {
        cuts.reserve(2 * pieces.size());
    }

    static bool may_cross(std::uint32_t, std::uint32_t) { return true; }

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
        if (is_on(p, t) && is_on(q, s)) {
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
            if (!is_on(p, t))
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

    std::vector<Cut> cuts;

private:
    void cut(std::uint32_t i, double t, Point point) { add_cut(pieces_[i], {i, t, point}, cuts); }

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
};

} // namespace

template <typename Body>
std::vector<Cut> cuts_at_crossings(const std::vector<RawPiece>& pieces,
                                   const std::vector<Edge>& edges, const Body& body)
{
    return cuts_of(pieces, Crossings<Body>{pieces, edges, body});
}

template std::vector<Cut> cuts_at_crossings(const std::vector<RawPiece>&, const std::vector<Edge>&,
                                            const Disc&);
template std::vector<Cut> cuts_at_crossings(const std::vector<RawPiece>&, const std::vector<Edge>&,
                                            const Egg&);

} // namespace fuelring
