// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <vector>

namespace community {

/// A point or vector in metres east and north of the raster's south-west corner.
struct Point {
    double x, y;
};
inline Point operator+(Point a, Point b)
{
    return {a.x + b.x, a.y + b.y};
}
inline Point operator-(Point a, Point b)
{
    return {a.x - b.x, a.y - b.y};
}
inline Point operator*(Point a, double k)
{
    return {a.x * k, a.y * k};
}
inline double dot(Point a, Point b)
{
    return a.x * b.x + a.y * b.y;
}
inline double length(Point a)
{
    return std::sqrt(dot(a, a));
}
inline Point unit(Point a)
{
    return a * (1 / length(a));
}
/// Turned left by a quarter.
inline Point left_of(Point a)
{
    return {-a.y, a.x};
}
/// The nearest multiple of 1/1024 m: what every vertex of the community is.
inline Point snapped(Point a)
{
    return {std::floor(a.x * 1024 + 0.5) / 1024, std::floor(a.y * 1024 + 0.5) / 1024};
}

/// Vertices in order; the first is not repeated at the end.
using Ring = std::vector<Point>;
/// The outer ring, then its holes.
using Polygon = std::vector<Ring>;

struct Box {
    double west, south, east, north;

    bool meets(const Box& other) const
    {
        return west <= other.east && other.west <= east && south <= other.north &&
               other.south <= north;
    }
    Box grown(double by) const { return {west - by, south - by, east + by, north + by}; }
};
Box box_of(const Ring& ring);

/// Positive for a ring that runs counter-clockwise.
double signed_area_m2(const Ring& ring);
bool contains(const Ring& ring, Point p);
double distance_to_segment(Point p, Point a, Point b);

/// A smooth line, and places along and beside it: `along` in metres from its start, `beside` in
/// metres to its left. Beyond its ends it goes on straight.
class Spine {
public:
    explicit Spine(const std::vector<Point>& controls);

    double length_m() const { return static_cast<double>(points_.size() - 1); }
    Point at(double along, double beside = 0) const;
    Point direction(double along) const;

    struct Nearest {
        double along, beside;
    };
    /// The place of `p`, to a fraction of a metre.
    Nearest nearest(Point p) const;

private:
    std::vector<Point> points_; // one a metre
    std::vector<Point> directions_;
};

} // namespace community
