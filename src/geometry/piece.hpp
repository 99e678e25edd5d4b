// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/outline.hpp>

#include <algorithm>
#include <cmath>

namespace fuelring {

/// The point of an arc at a parameter.
inline Point point_at(const Piece& arc, double t)
{
    return arc.centre + std::cos(t) * arc.u + std::sin(t) * arc.v;
}

/// The same curve, run through the other way.
inline Piece reversed(const Piece& p)
{
    return {p.end, p.start, p.arc, p.centre, p.u, -1 * p.v, -p.t1, -p.t0};
}

/// The box that two points span.
inline Box box_between(Point a, Point b)
{
    return {{std::min(a.x, b.x), std::min(a.y, b.y)}, {std::max(a.x, b.x), std::max(a.y, b.y)}};
}

/// Into the frame in which the ellipse of an arc is the unit circle: the inverse of the matrix of
/// columns u and v, row by row (Cramer's rule).
class UnitCircle {
public:
    UnitCircle() = default;
    explicit UnitCircle(const Piece& arc) : centre_(arc.centre)
    {
        const double det = cross(arc.u, arc.v);
        row_x_ = {arc.v.y / det, -arc.v.x / det};
        row_y_ = {-arc.u.y / det, arc.u.x / det};
    }
    Point vector(Point v) const { return {dot(row_x_, v), dot(row_y_, v)}; }
    Point operator()(Point p) const { return vector(p - centre_); }

private:
    Point centre_;
    Point row_x_;
    Point row_y_;
};

} // namespace fuelring
