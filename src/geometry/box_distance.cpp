// SPDX-License-Identifier: Apache-2.0

// Of two convex sets that do not meet, some nearest pair has a corner of one in it: were both
// points inside sides, the sides would be parallel, and the pair can slide to a corner.
#include "geometry/box_distance.hpp"

#include <algorithm>
#include <array>

namespace fuelring {

namespace {

/// True when the segment meets the closed box (separating axes: x, y, the segment's normal).
bool meets(Point a, Point b, const Box& box)
{
    if (std::max(a.x, b.x) < box.min.x || std::min(a.x, b.x) > box.max.x ||
        std::max(a.y, b.y) < box.min.y || std::min(a.y, b.y) > box.max.y)
        return false;
    const Point ab = b - a;
    // The box lies on one side of the edge's line where all its corners do.
    const std::array side{cross(ab, box.min - a), cross(ab, Point{box.max.x, box.min.y} - a),
                          cross(ab, box.max - a), cross(ab, Point{box.min.x, box.max.y} - a)};
    const auto [low, high] = std::minmax_element(side.begin(), side.end());
    return *low <= 0 && *high >= 0;
}

} // namespace

double squared_distance(Point p, Point a, Point b)
{
    const Point ab = b - a;
    const double length2 = dot(ab, ab);
    const double t = length2 > 0 ? std::clamp(dot(p - a, ab) / length2, 0.0, 1.0) : 0;
    const Point d = p - (a + t * ab);
    return dot(d, d);
}

double squared_distance(Point a, Point b, const Box& box)
{
    if (meets(a, b, box))
        return 0;
    return std::min({box.squared_distance(a), box.squared_distance(b),
                     squared_distance(box.min, a, b), squared_distance(box.max, a, b),
                     squared_distance(Point{box.max.x, box.min.y}, a, b),
                     squared_distance(Point{box.min.x, box.max.y}, a, b)});
}

} // namespace fuelring
