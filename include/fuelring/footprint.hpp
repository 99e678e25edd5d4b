// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/export.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace fuelring {

/// A point or a vector in a metric frame, x to the right and y up. Which frame, the owner says.
struct Point {
    double x = 0;
    double y = 0;

    /// Of the vector; along an axis exactly the coordinate.
    double length() const { return std::sqrt(x * x + y * y); }
    friend Point operator+(Point a, Point b) { return {a.x + b.x, a.y + b.y}; }
    friend Point operator-(Point a, Point b) { return {a.x - b.x, a.y - b.y}; }
    friend Point operator*(double k, Point a) { return {k * a.x, k * a.y}; }
    friend bool operator==(Point a, Point b) { return a.x == b.x && a.y == b.y; }
};

inline double dot(Point a, Point b)
{
    return a.x * b.x + a.y * b.y;
}
inline double cross(Point a, Point b)
{
    return a.x * b.y - a.y * b.x;
}

/// Axis-parallel box, closed; empty when min is above max.
struct Box {
    Point min;
    Point max;

    /// Holds nothing: what `take_in` starts from.
    static Box nothing()
    {
        constexpr double inf = std::numeric_limits<double>::infinity();
        return {{inf, inf}, {-inf, -inf}};
    }
    /// The box that two points span.
    static Box between(Point a, Point b)
    {
        return {{std::min(a.x, b.x), std::min(a.y, b.y)}, {std::max(a.x, b.x), std::max(a.y, b.y)}};
    }
    /// Grows just so far that it holds a point.
    void take_in(Point p)
    {
        min = {std::min(min.x, p.x), std::min(min.y, p.y)};
        max = {std::max(max.x, p.x), std::max(max.y, p.y)};
    }
    /// By so much on every side.
    Box grown(double by) const { return {{min.x - by, min.y - by}, {max.x + by, max.y + by}}; }
    Point centre() const { return 0.5 * (min + max); }
    /// From the box to a point, or to another box; 0 where they meet.
    double squared_distance(Point p) const { return squared_distance({p, p}); }
    double squared_distance(const Box& other) const
    {
        const double dx = std::max({min.x - other.max.x, 0.0, other.min.x - max.x});
        const double dy = std::max({min.y - other.max.y, 0.0, other.min.y - max.y});
        return dx * dx + dy * dy;
    }
    /// Whether the two share a point, or come nearer than `within` in x and in y.
    bool meets(const Box& other, double within = 0) const
    {
        return min.x <= other.max.x + within && other.min.x <= max.x + within &&
               min.y <= other.max.y + within && other.min.y <= max.y + within;
    }
};

/// Points nearer than this, in x and in y, are one place.
inline constexpr double same_place_m = 1e-9;

inline bool same_place(Point a, Point b)
{
    const Point d = a - b;
    return d.x <= same_place_m && d.x >= -same_place_m && d.y <= same_place_m &&
           d.y >= -same_place_m;
}

/// A closed loop of vertices; the last is joined to the first and not repeated.
using Loop = std::vector<Point>;

/// Coordinates and distances beyond this (a million kilometres) are no place near a structure.
inline constexpr double farthest_local_m = 1e9;

/// The outline of one structure, in metres of a local frame whose origin is near the structure
/// (coordinates of a projected grid, millions of metres, would cost the last digits).
///
/// Law: loops do not cross each other or themselves (they may touch); shells run counter-clockwise,
/// holes clockwise, so that the interior is left of every edge and no ground is enclosed twice; no
/// vertex is repeated in a row; every loop has at least three vertices and an area. `repaired`
/// (repair.hpp) makes it so of any polygons, `normalised` of loops that are free of crossings and
/// overlaps already. `require_valid` tells, and what draws outlines asks it.
struct Footprint {
    std::vector<Loop> loops;
};

/// A ring of vertices as read from a file, with its role.
struct RawLoop {
    Loop vertices; ///< a repeated last vertex is allowed
    bool hole = false;
};

/// Orients shells and holes, drops repeated vertices and loops of no area; the result may
/// be empty. Loops that cross or overlap stay as they are: see `repaired`.
/// Throws: std::invalid_argument for a coordinate that is not finite or beyond farthest_local_m.
FUELRING_EXPORT Footprint normalised(const std::vector<RawLoop>& loops);

/// Throws: std::invalid_argument naming the loop and the place, unless the law of a footprint
/// holds: an empty one, a loop of fewer than three vertices, a coordinate that is not finite or
/// beyond farthest_local_m, a repeated vertex, a fold, ground that loops enclose twice (crossings,
/// parts that overlap, a hole that no shell holds, a shell that runs clockwise). Slivers that
/// moving vertices by 1e-8 m could leave are none. Takes about as long as a tenth of one outline,
/// more where loops touch (GEOS then tells).
FUELRING_EXPORT void require_valid(const Footprint& footprint);

/// Area enclosed, holes taken off. Exact to rounding (shoelace relative to the first vertex).
FUELRING_EXPORT double area_m2(const Footprint& footprint);

/// Length of all loops, holes included.
FUELRING_EXPORT double perimeter_m(const Footprint& footprint);

/// Bounding box; empty for an empty footprint.
FUELRING_EXPORT Box bounds(const Footprint& footprint);

/// True inside or on the even-odd interior. Points within rounding of an edge may fall either way.
FUELRING_EXPORT bool contains(const Footprint& footprint, Point p);

} // namespace fuelring
