// SPDX-License-Identifier: Apache-2.0

// Where two curves cross, once for the offset of one footprint and the union of many. Every arc
// lies on an ellipse that some linear map, its `Circle`, carries to a circle about the origin;
// there a line meets it in closed form, so does its translate, and an arc of another ellipse where
// a trigonometric polynomial of degree 2 is 0. Touching is not crossing: overlaps up to `touching`
// of the circle are ignored, since gaps of exactly 2 r are common on drawn outlines.
//
// Lines p + t d and q + s e (unit vectors d, e): cross both sides with e, then with d: t = cross(q
// - p, e) / cross(d, e), s = cross(q - p, d) / cross(d, e). A line and a circle of radius r: the
// foot of the perpendicular from the centre c lies dot(c - p, d) along the line and cross(d, c - p)
// aside; half the chord is sqrt(r^2 - aside^2). Two circles of radius r with centres 2 h apart:
// they meet sqrt(r^2 - h^2) beside the middle.
#pragma once

#include "geometry/arrangement.hpp"
#include "geometry/trig_polynomial.hpp"

#include <fuelring/outline.hpp>

#include <cmath>
#include <optional>
#include <vector>

namespace fuelring {

/// A concept of the templates below. What a Circle has: `vector(z)` carries a vector to the frame
/// in which the ellipse is a circle of `radius()`, `on_ellipse(e)` a unit vector there to the
/// vector from the centre to the ellipse. `is_identity`: vectors stay as they are.

/// The parameter of an arc at a unit direction on its circle, or nothing beyond its ends.
/// `direction`: seen from the centre in the frame where the ellipse is a circle; any length above
/// 0, but rounding is judged as of length 1. Law: the result is within end_slack of [t0, t1], a
/// multiple of full turns from atan2 of the direction.
inline std::optional<double> parameter_on_arc(const Curve& arc, Point direction)
{
    // Two half-planes hold the directions of an arc of up to half a turn.
    if (arc.t1 - arc.t0 <= full_turn / 2 &&
        (cross(arc.from, direction) < -end_slack || cross(direction, arc.to) < -end_slack))
        return {};
    double t = std::atan2(direction.y, direction.x);
    t += full_turn * std::round(((arc.t0 + arc.t1) / 2 - t) / full_turn);
    return is_on(arc, t) ? std::optional{t} : std::nullopt;
}

/// Collects the cuts of curves at each other, each crossing computed once, both curves cut at the
/// same point. Whoever derives from it adds what `cuts_of` asks for and what his curves know of
/// each other.
/// Law: both cuts of a crossing carry the same bits, so that stretches of different curves weld.
/// Requires: the curves outlive this, and stay where they are.
/// Errors: a cut is off by a few roundings, more where curves meet under a small angle: then along
/// them, hardly across.
template <typename SomeCurve>
class PairCuts {
public:
    /// Nothing is cut yet.
    explicit PairCuts(const std::vector<SomeCurve>& curves) : curves_(curves) {}

    /// In the order of calls; `cuts_of` sorts them.
    std::vector<Cut> cuts;

    /// On one line they may run over each other: each is cut at the ends of the other.
    /// At most one cut each, where they cross; at most four in all where one runs over the other.
    void line_line(std::uint32_t i, std::uint32_t j)
    {
        const Curve& p = curves_[i];
        const Curve& q = curves_[j];
        const Point between = q.base - p.base;
        const double sine = cross(p.from, q.from);
        if (std::abs(sine) < parallel) {
            if (std::abs(cross(p.from, between)) <= same_place_m) {
                cut_line_at_ends(i, q);
                cut_line_at_ends(j, p);
            }
            return;
        }
        const double t = cross(between, q.from) / sine;
        const double s = cross(between, p.from) / sine;
        if (is_on(p, t) && is_on(q, s))
            cut_both(i, t, j, s, p.base + t * p.from);
    }

protected:
    /// At most two cuts each, at points of the line. `circle`: that of the arc.
    template <typename Circle>
    void line_arc(std::uint32_t line, std::uint32_t arc, const Circle& circle)
    {
        const Curve& p = curves_[line];
        const Curve& q = curves_[arc];
        const Point between = circle.vector(q.base - p.base);
        Point along = circle.vector(p.from);
        double metres = 1; // along the line, per unit of the circle's frame
        if constexpr (!Circle::is_identity) {
            metres = 1 / along.length();
            along = metres * along;
        }
        const double offset = cross(along, between) / circle.radius(); // in radii
        if (std::abs(offset) > 1 - touching)
            return;
        const double foot = dot(between, along);
        const double half = circle.radius() * std::sqrt((1 - offset) * (1 + offset));
        for (const double t : {metres * (foot - half), metres * (foot + half)}) {
            if (!is_on(p, t))
                continue;
            const Point point = p.base + t * p.from;
            if (const auto s = parameter_on_arc(q, on_circle(point - q.base, circle)))
                cut_both(line, t, arc, *s, point);
        }
    }

    /// Arcs of two ellipses of one shape: `circle` is that of both. About one place they may run
    /// over each other: each is cut at the ends of the other.
    /// At most two cuts each. Centres further apart than two radii, less `touching`, do not cross.
    template <typename Circle>
    void arcs_of_one_shape(std::uint32_t i, std::uint32_t j, const Circle& circle)
    {
        const Curve& p = curves_[i];
        const Curve& q = curves_[j];
        if (same_place(p.base, q.base)) {
            cut_arc_at_ends(i, q);
            cut_arc_at_ends(j, p);
            return;
        }
        // In radii: half-way to the other centre, then up or down to where the circles meet.
        const Point between = circle.vector(q.base - p.base);
        const double half_m = between.length() / 2;
        const double share = half_m / circle.radius();
        if (share > 1 - touching)
            return;
        const double height = std::sqrt((1 - share) * (1 + share));
        const Point along = (share / (2 * half_m)) * between;
        const Point across = (height / (2 * half_m)) * Point{-between.y, between.x};
        for (const Point up : {across, -1 * across}) {
            const auto t = parameter_on_arc(p, along + up);
            const auto s = t ? parameter_on_arc(q, up - along) : t;
            if (s)
                cut_both(i, *t, j, *s, p.base + circle.on_ellipse(along + up));
        }
    }

    /// Any two arcs; u and v are those of the first, `circle` is that of the second. Along the
    /// first, |its point on that circle|^2 - 1 is a trigonometric polynomial: where it is 0 they
    /// cross, but where it only just changes sign they touch (it is twice the overlap).
    /// At most four cuts each. In that frame z = c + cos t u + sin t v. Squares and the product of
    /// cos t and sin t are halves of 1 + cos 2t, 1 - cos 2t and sin 2t, hence the coefficients:
    /// c.c + (u.u + v.v) / 2 - 1; 2 c.u and 2 c.v; (u.u - v.v) / 2 and u.v.
    template <typename Circle>
    void any_arcs(std::uint32_t i, std::uint32_t j, Point u_of_i, Point v_of_i,
                  const Circle& circle)
    {
        const Curve& p = curves_[i];
        const Curve& q = curves_[j];
        const Point c = on_circle(p.base - q.base, circle);
        const Point u = on_circle(u_of_i, circle);
        const Point v = on_circle(v_of_i, circle);
        const TrigPolynomial beyond{dot(c, c) + (dot(u, u) + dot(v, v)) / 2 - 1, 2 * dot(c, u),
                                    2 * dot(c, v), (dot(u, u) - dot(v, v)) / 2, dot(u, v)};
        found_.clear();
        roots(beyond, p.t0 - end_slack, p.t1 + end_slack, found_);
        for (std::size_t k = 0; k < found_.size(); ++k) {
            if (k + 1 < found_.size() &&
                std::abs(beyond((found_[k] + found_[k + 1]) / 2)) <= 2 * touching) {
                ++k;
                continue;
            }
            const double t = found_[k];
            const Point point = p.base + std::cos(t) * u_of_i + std::sin(t) * v_of_i;
            if (const auto s = parameter_on_arc(q, on_circle(point - q.base, circle)))
                cut_both(i, t, j, *s, point);
        }
    }

    const SomeCurve& curve(std::uint32_t i) const { return curves_[i]; }

private:
    /// Of a vector from the centre, in radii: of length 1 on the ellipse.
    template <typename Circle>
    static Point on_circle(Point from_centre, const Circle& circle)
    {
        return (1 / circle.radius()) * circle.vector(from_centre);
    }
    void cut(std::uint32_t i, double t, Point point) { add_cut(curves_[i], {i, t, point}, cuts); }
    /// One point for both, whichever formula it came from.
    void cut_both(std::uint32_t i, double t, std::uint32_t j, double s, Point point)
    {
        cut(i, t, point);
        cut(j, s, point);
    }
    /// For curves on one line or circle. Ends beyond the curve's own cut nothing.
    void cut_line_at_ends(std::uint32_t i, const Curve& other)
    {
        for (const Point end : {other.start, other.end})
            cut(i, dot(end - curves_[i].base, curves_[i].from), end);
    }
    void cut_arc_at_ends(std::uint32_t i, const Curve& other)
    {
        if (const auto t = parameter_on_arc(curves_[i], other.from))
            cut(i, *t, other.start);
        if (const auto t = parameter_on_arc(curves_[i], other.to))
            cut(i, *t, other.end);
    }

    const std::vector<SomeCurve>& curves_;
    std::vector<double> found_;
};

} // namespace fuelring
