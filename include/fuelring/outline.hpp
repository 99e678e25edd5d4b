// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/stretch.hpp>

#include <vector>

namespace fuelring {

/// One piece of a boundary: a straight line from `start` to `end`, or the arc
///     p(t) = centre + cos(t) u + sin(t) v,   t from t0 to t1,   0 < t1 - t0 <= 2 pi.
/// For a circle of radius r in a metric frame u = (r, 0) and v = (0, r), so an arc runs
/// counter-clockwise. On a slope u points down it and v to the left of it; an arc lies on one of
/// the egg's halves, whose u differ in length. Affine maps map the vectors and leave t alone.
/// Law: start and end are p(t0) and p(t1) to rounding, at crossings of three or more pieces within
/// same_place_m. They are held apart so that neighbouring pieces share their end bit for bit.
struct Piece {
    Point start;
    Point end;
    bool arc = false;
    Point centre;
    Point u;
    Point v;
    double t0 = 0;
    double t1 = 0;

    static Piece line(Point from, Point to) { return {from, to, false, {}, {}, {}, 0, 0}; }

    /// Of an arc: p(t).
    Point at(double t) const { return centre + std::cos(t) * u + std::sin(t) * v; }
    /// The same curve, run through the other way.
    Piece reversed() const { return {end, start, arc, centre, u, -1 * v, -t1, -t0}; }
    /// The part between two of its points, for an arc with their parameters.
    Piece part(double from_t, Point from, double to_t, Point to) const
    {
        return {from, to, arc, centre, u, v, arc ? from_t : 0, arc ? to_t : 0};
    }
    /// The same seen in another frame: `point` carries points over, `vector` vectors. Any affine
    /// map will do; parameters of arcs stay.
    template <typename OfPoint, typename OfVector>
    Piece mapped(OfPoint&& point, OfVector&& vector) const
    {
        if (!arc)
            return line(point(start), point(end));
        return {point(start), point(end), true, point(centre), vector(u), vector(v), t0, t1};
    }
    /// The smallest box that holds it; an arc may lie beyond it by rounding.
    FUELRING_EXPORT Box box() const;
};

/// How an outline was found (counted in run.json).
enum class OutlineMethod {
    exact,    ///< at the radius asked for
    nudged,   ///< at r (1 + 1e-9), because pieces at r did not close
    capsules, ///< union of finely tessellated capsules, because nothing else closed
};

/// The boundary of a region as an unordered set of oriented pieces, interior to their left.
/// Law: as a graph on their ends (equal bit for bit) every node has as many pieces in as out.
struct Outline {
    std::vector<Piece> pieces;
    OutlineMethod method = OutlineMethod::exact;
};

/// The footprint's own boundary.
/// Throws nothing: a footprint that breaks its law has a boundary that does not fit it.
FUELRING_EXPORT Outline outline_of(const Footprint& footprint);

/// Boundary of everything whose distance to the footprint is at most r_m; r_m > 0. With a stretch
/// that is not round, of the footprint swept by an egg of semi-axes down r_m downhill, r_m uphill
/// and across r_m to the sides: a point belongs to it when the vector from some point of the
/// footprint to it fits in the egg (a Minkowski sum).
/// Arcs are arcs: nothing is tessellated unless method says `capsules`.
/// Law: convex footprints: area = A + P r + pi r^2 (Steiner), on slopes A + sum of (support of
/// the egg along an edge's normal x its length) + pi across r (down r + r) / 2 (mixed area), within
/// 1e-12 relative. Round walls along the axes move by exactly r. A longer r_m or larger factors
/// give a region that holds the smaller one. The result depends on nothing but the arguments.
/// Throws: std::invalid_argument for r_m or a stretched r_m that is not above 0 or beyond
/// farthest_local_m, factors below 1, a downhill vector that is not of length 1, or a footprint
/// that breaks its law (require_valid); std::runtime_error with GEOS's reason if even the capsules
/// fail. Source: src/geometry/README.md
FUELRING_EXPORT Outline outline_within(const Footprint& footprint, double r_m,
                                       const RingStretch& stretch = {});

/// How far such an outline lies beyond the footprint's bounding box, side by side: the bounding box
/// of the disc or egg about the origin. Throws: std::invalid_argument as outline_within.
FUELRING_EXPORT Box reach_around(double r_m, const RingStretch& stretch = {});

/// Throws: std::invalid_argument where it has no pieces, where a coordinate is not finite, an arc
/// does not end where its parameters say, or the pieces do not close.
FUELRING_EXPORT void require_valid(const Outline& outline);

/// Enclosed area by Green's theorem: sum of the integrals of x dy, exact to rounding.
FUELRING_EXPORT double area_m2(const Outline& outline);

/// Bounding box, arcs included.
FUELRING_EXPORT Box bounds(const Outline& outline);

} // namespace fuelring
