// SPDX-License-Identifier: Apache-2.0

// The convex bodies that are swept along a footprint: the disc on level ground, the egg on a slope.
// The algorithm is written once, for any `Body` with the members below; each half of a body is a
// circle of radius r once lengths are divided by the factors of that half (its flat frame).
//
// Why moved edges and arcs are enough: support functions of convex sets add under the Minkowski
// sum, h(P + B) = h(P) + h(B), so an edge of normal n moves by B's support point of n, and a corner
// carries the part of B's boundary between the normals of its edges. Area: A(P + B) = A(P) + sum of
// h_B(n) x length over the edges + A(B); for the disc Steiner's formula.
//
// Of the egg, A the semi-axis downhill or uphill by the sign of x, C across: the most of nx A cos t
// + ny C sin t over t (Cauchy and Schwarz) is h(n) = hypot(A nx,
// C ny), whose gradient is the support point (A^2 nx, C^2 ny) / h(n), reached at the parameter
// atan2(C ny, A nx). At nx = 0 both halves have the point (0, C) and the normal along y there: the
// egg is smooth. Its gauge (Minkowski functional) times r is the nominal distance of z = ground
// less house: hypot(x / down or x, y / across), convex, which is why a wall has one nearest point.
// Source: Schneider, Convex Bodies: The Brunn-Minkowski Theory, Cambridge 1993, chapters 1 and 5.
#pragma once

#include "geometry/angles.hpp"

#include <fuelring/outline.hpp>

#include <algorithm>
#include <cmath>
#include <cstdint>

namespace fuelring {

/// The two halves of a body. A disc makes no difference between them.
enum class Half : std::uint8_t { downhill, uphill };

/// A straight edge as bodies see it.
/// Law: b = a + length_m direction, to rounding; length_m is above 0.
struct Segment {
    Point a;
    Point b;
    Point direction;     ///< unit, from a to b
    double length_m = 0; ///< in lengths of `direction`
};

/// The disc of radius r.
struct Disc {
    static constexpr bool halved = false; ///< are the halves of one shape?
    double r_m = 0;

    /// Lengths in the frame in which a half is a circle of radius r, and back.
    static Point flat(Half, Point z) { return z; }
    static Point steep(Half, Point z) { return z; }
    static Half half_of(Point) { return Half::downhill; }

    /// For a unit normal: the direction of the support point on the circle of its half.
    static Point circle(Point normal) { return normal; }
    /// The point of the body furthest along a unit normal: edges move by it. Exact for the four
    /// axis normals.
    Point support(Point normal) const { return r_m * normal; }
    /// The parameter of that support point; it grows with the normal's angle.
    static double parameter(Point normal) { return std::atan2(normal.y, normal.x); }
    /// The point of the boundary at a parameter.
    Point at(Half, double t) const { return {r_m * std::cos(t), r_m * std::sin(t)}; }
    Point u(Half) const { return {r_m, 0}; }
    Point v() const { return {0, r_m}; }
    /// How far the body extends along the axes: to larger x, y, smaller x, y.
    double extent_m(int quarter) const { return (void)quarter, r_m; }

    /// Squared nominal distance of z = ground - house: r^2 on the boundary of the body, less
    /// inside.
    static double nominal2(Point z) { return dot(z, z); }
    /// What finding the nearest point of an edge needs to know of its direction.
    struct Foot {};
    static Foot foot(Point) { return {}; }
    /// The point of an edge that is nearest to p by nominal distance.
    static Point nearest(const Segment& edge, Foot, Point p)
    {
        const double along = dot(p - edge.a, edge.direction);
        return edge.a + std::clamp(along, 0.0, edge.length_m) * edge.direction;
    }
};

/// The egg of two half ellipses that share the axis across the slope, in the frame of the slope:
/// x down the slope, y to the left of it. Semi-axes: r down downhill, r uphill, r across.
/// Smooth and strictly convex. With both factors 1 it is the disc.
/// Law: factors are 1 or more. Members mean what those of Disc do.
struct Egg {
    static constexpr bool halved = true;
    double r_m = 0;
    double down = 1;
    double across = 1;

    double along(Half half) const { return half == Half::downhill ? down : 1; }
    /// Half by half linear, and diagonal: the transpose of each is itself.
    Point flat(Half half, Point z) const { return {z.x / along(half), z.y / across}; }
    Point steep(Half half, Point z) const { return {z.x * along(half), z.y * across}; }
    static Half half_of(Point z) { return z.x >= 0 ? Half::downhill : Half::uphill; }

    Point circle(Point normal) const
    {
        const Point s = steep(half_of(normal), normal);
        const double length = s.length();
        return {s.x / length, s.y / length};
    }
    Point support(Point normal) const { return r_m * steep(half_of(normal), circle(normal)); }
    double parameter(Point normal) const
    {
        const Point c = circle(normal);
        return std::atan2(c.y, c.x);
    }
    Point at(Half half, double t) const { return r_m * steep(half, {std::cos(t), std::sin(t)}); }
    Point u(Half half) const { return {r_m * along(half), 0}; }
    Point v() const { return {0, r_m * across}; }
    double extent_m(int quarter) const
    {
        return quarter % 2 != 0 ? r_m * across : quarter == 0 ? r_m * down : r_m;
    }

    double nominal2(Point z) const
    {
        const Point f = flat(half_of(z), z);
        return dot(f, f);
    }
    /// Of each half the vector w with dot(p - a, w) = s, the place of the least distance along the
    /// edge: |F z - s F d|^2 is least at s = (F z . F d) / |F d|^2, so w = F F d / |F d|^2.
    struct Foot {
        Point downhill;
        Point uphill;
    };
    Foot foot(Point direction) const
    {
        const auto in = [&](Half half) {
            const Point f = flat(half, direction);
            return (1 / dot(f, f)) * flat(half, f);
        };
        return {in(Half::downhill), in(Half::uphill)};
    }
    Point nearest(const Segment& edge, const Foot& foot, Point p) const
    {
        // Along the edge the squared distance is convex, of two parabolas with one value and one
        // slope where they meet: the least of one is the least of all if it lies on its own side.
        const auto least = [&](Point along) {
            const double s = std::clamp(dot(p - edge.a, along), 0.0, edge.length_m);
            return edge.a + s * edge.direction;
        };
        const Point near = least(foot.downhill);
        return p.x >= near.x ? near : least(foot.uphill);
    }
};

/// The frame of a slope: x down the slope, y to its left. Axis directions turn exactly.
/// Requires: a unit vector. Law: out(in(z)) = z, to rounding; lengths stay.
class SlopeFrame {
public:
    explicit SlopeFrame(Point downhill) : e_(downhill) {}
    Point in(Point z) const { return {dot(z, e_), cross(e_, z)}; }
    Point out(Point z) const { return {z.x * e_.x - z.y * e_.y, z.x * e_.y + z.y * e_.x}; }

private:
    Point e_; ///< unit
};

} // namespace fuelring
