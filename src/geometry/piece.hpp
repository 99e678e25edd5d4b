// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/outline.hpp>

namespace fuelring {

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
