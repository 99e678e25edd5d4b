// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/outline.hpp>

namespace fuelring {

/// Coordinates in the basis of two vectors u and v: the inverse of the matrix of columns u and v,
/// row by row (Cramer's rule). Law: coordinates (x, y) of x u + y v, to rounding.
/// Requires: u and v are not parallel; else coordinates are not finite. Default: all are 0.
class InverseBasis {
public:
    InverseBasis() = default;
    /// Of (x, y) with x u + y v = z: x = cross(z, v) / cross(u, v), y = cross(u, z) / cross(u, v).
    InverseBasis(Point u, Point v)
    {
        const double det = cross(u, v);
        row_x_ = {v.y / det, -v.x / det};
        row_y_ = {-u.y / det, u.x / det};
    }
    /// Linear: for vectors, not for points.
    Point operator()(Point z) const { return {dot(row_x_, z), dot(row_y_, z)}; }

private:
    Point row_x_;
    Point row_y_;
};

/// Into the frame in which the ellipse of an arc is the unit circle about the origin.
/// Law: the point of the arc at t becomes (cos t, sin t), and vector(on_ellipse(e)) = e, both to
/// rounding. Affine maps keep lines straight and parts in proportion, so what crosses there crosses
/// here. Requires: an arc whose u and v are not parallel.
class UnitCircle {
public:
    static constexpr bool is_identity = false;
    UnitCircle() = default;
    explicit UnitCircle(const Piece& arc)
        : centre_(arc.centre), u_(arc.u), v_(arc.v), inverse_(arc.u, arc.v)
    {}
    /// Of vectors; the next one of points.
    Point vector(Point z) const { return inverse_(z); }
    Point operator()(Point p) const { return inverse_(p - centre_); }
    static double radius() { return 1; }
    /// From the centre to the point of the ellipse at a unit vector of that frame.
    Point on_ellipse(Point e) const { return e.x * u_ + e.y * v_; }

private:
    Point centre_;
    Point u_;
    Point v_;
    InverseBasis inverse_;
};

} // namespace fuelring
