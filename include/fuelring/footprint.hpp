// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

namespace fuelring {

/// A point or a vector in a metric frame, x to the right and y up. Which frame, the owner says.
struct Point {
    double x = 0;
    double y = 0;

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

/// Axis-parallel box; empty when min is above max.
struct Box {
    Point min;
    Point max;
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

/// The outline of one structure, in metres of a local frame whose origin is near the structure
/// (coordinates of a projected grid, millions of metres, would cost the last digits).
///
/// Law: loops do not cross each other or themselves (they may touch in points); shells run
/// counter-clockwise, holes clockwise, so that the interior is left of every edge; no vertex is
/// repeated in a row; every loop has at least three vertices and an area. `normalised` makes it so
/// for input that is already free of crossings; crossings are the reader's to repair.
struct Footprint {
    std::vector<Loop> loops;
};

/// A ring of vertices as read from a file, with its role.
struct RawLoop {
    Loop vertices; ///< a repeated last vertex is allowed
    bool hole = false;
};

/// Orients shells and holes, drops repeated vertices and loops without area.
/// Throws nothing; the result may be empty.
Footprint normalised(const std::vector<RawLoop>& loops);

/// Area enclosed, holes taken off. Exact to rounding (shoelace relative to the first vertex).
double area_m2(const Footprint& footprint);

/// Length of all loops, holes included.
double perimeter_m(const Footprint& footprint);

/// Bounding box; empty for an empty footprint.
Box bounds(const Footprint& footprint);

/// True inside or on the even-odd interior. Points within rounding of an edge may fall either way.
bool contains(const Footprint& footprint, Point p);

} // namespace fuelring
