// SPDX-License-Identifier: Apache-2.0

// Where pieces of outlines of different structures cross. A piece is brought into the frame in
// which the ellipse of the other is the unit circle; there a line meets it in closed form, and an
// arc where a trigonometric polynomial of degree 2 is 0. Between circles that is of degree 1 and
// has a closed form, too.
#include "geometry/dissolve/union_crossings.hpp"

#include "geometry/offset/body.hpp"
#include "geometry/piece.hpp"
#include "geometry/tolerances.hpp"
#include "geometry/trig_polynomial.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace fuelring {
namespace {

bool same_ellipse(const Piece& a, const Piece& b)
{
    return same_place(a.centre, b.centre) && same_place(a.u, b.u) &&
           (same_place(a.v, b.v) || same_place(a.v, -1 * b.v));
}

/// |q|^2 - 1 along arc p, q being its point in the frame of another ellipse.
TrigPolynomial beyond_circle(const Piece& p, const UnitCircle& circle)
{
    const Point c = circle(p.centre);
    const Point u = circle.vector(p.u);
    const Point v = circle.vector(p.v);
    return {dot(c, c) + (dot(u, u) + dot(v, v)) / 2 - 1, 2 * dot(c, u), 2 * dot(c, v),
            (dot(u, u) - dot(v, v)) / 2, dot(u, v)};
}

/// Collects cuts pair by pair.
class TrackCrossings {
public:
    explicit TrackCrossings(const std::vector<Track>& tracks) : tracks_(tracks) {}

    /// Pieces of one owner meet at their ends only.
    bool may_cross(std::uint32_t i, std::uint32_t j) const
    {
        return tracks_[i].owner != tracks_[j].owner;
    }

    void line_line(std::uint32_t i, std::uint32_t j)
    {
        const Track& p = tracks_[i];
        const Track& q = tracks_[j];
        const Point between = q.piece.start - p.piece.start;
        const double sine = cross(p.direction, q.direction);
        if (std::abs(sine) < parallel) { // on one line they may run over each other
            if (std::abs(cross(p.direction, between)) <= same_place_m) {
                cut_line_at_ends(i, q.piece);
                cut_line_at_ends(j, p.piece);
            }
            return;
        }
        const double t = cross(between, q.direction) / sine;
        const double s = cross(between, p.direction) / sine;
        if (is_on(p, t) && is_on(q, s)) {
            const Point point = p.at(t);
            cut(i, t, point);
            cut(j, s, point);
        }
    }

    void line_arc(std::uint32_t line, std::uint32_t arc)
    {
        const Track& p = tracks_[line];
        const Track& q = tracks_[arc];
        const UnitCircle circle{q.piece};
        const Point from = circle(p.piece.start);
        const Point step = circle.vector(p.direction);
        const double size = std::sqrt(dot(step, step));
        // The line passes the centre at `offset` radii; it meets the circle half a chord before
        // and behind the foot of the perpendicular.
        const double offset = cross(from, step) / size;
        if (std::abs(offset) > 1 - touching)
            return;
        const double foot = -dot(from, step) / (size * size);
        const double half = std::sqrt((1 - offset) * (1 + offset)) / size;
        for (const double t : {foot - half, foot + half}) {
            if (!is_on(p, t))
                continue;
            const double s = parameter(q, from + t * step);
            if (is_on(q, s)) {
                const Point point = p.at(t);
                cut(line, t, point);
                cut(arc, s, point);
            }
        }
    }

    void arc_arc(std::uint32_t i, std::uint32_t j)
    {
        const Track& p = tracks_[i];
        const Track& q = tracks_[j];
        if (same_ellipse(p.piece, q.piece)) {
            cut_arc_at_ends(i, q.piece);
            cut_arc_at_ends(j, p.piece);
            return;
        }
        const UnitCircle circle{q.piece};
        found_.clear();
        roots(beyond_circle(p.piece, circle), p.t0 - end_slack, p.t1 + end_slack, found_);
        for (const double t : found_) {
            const Point point = p.at(t);
            const double s = parameter(q, circle(point));
            if (is_on(q, s)) {
                cut(i, t, point);
                cut(j, s, point);
            }
        }
    }

    std::vector<Cut> cuts;

private:
    void cut(std::uint32_t i, double t, Point point) { add_cut(tracks_[i], {i, t, point}, cuts); }

    /// The parameter of the point of an arc in the direction of q (in its unit circle) that is
    /// nearest to the arc.
    static double parameter(const Track& arc, Point q)
    {
        const double middle = (arc.t0 + arc.t1) / 2;
        const double t = std::atan2(q.y, q.x);
        return t + full_turn * std::round((middle - t) / full_turn);
    }

    void cut_line_at_ends(std::uint32_t i, const Piece& other)
    {
        const Track& p = tracks_[i];
        for (const Point end : {other.start, other.end})
            cut(i, dot(end - p.piece.start, p.direction), end);
    }

    /// Arcs of one ellipse run over each other: cut one at the ends of the other.
    void cut_arc_at_ends(std::uint32_t i, const Piece& other)
    {
        const UnitCircle circle{tracks_[i].piece};
        for (const Point end : {other.start, other.end})
            cut(i, parameter(tracks_[i], circle(end)), end);
    }

    const std::vector<Track>& tracks_;
    std::vector<double> found_;
};

} // namespace

Track::Track(const Piece& p, std::uint32_t of) : piece(p), owner(of)
{
    arc = p.arc;
    start = p.start;
    end = p.end;
    if (p.arc) {
        box = bounds(Outline{{p}});
        t0 = p.t0;
        t1 = p.t1;
        return;
    }
    box = Box::between(p.start, p.end);
    const Point d = p.end - p.start;
    t1 = std::sqrt(dot(d, d));
    direction = {d.x / t1, d.y / t1};
}

Point Track::at(double t) const
{
    if (piece.arc)
        return piece.at(t);
    return piece.start + t * direction;
}

std::vector<Cut> cuts_of_tracks(const std::vector<Track>& tracks)
{
    return cuts_of(tracks, TrackCrossings{tracks});
}

} // namespace fuelring
