// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

#include <vector>

namespace fuelring {

/// One piece of a boundary: a straight line from `start` to `end`, or the arc
///     p(t) = centre + cos(t) u + sin(t) v,   t from t0 to t1,   0 < t1 - t0 <= 2 pi.
/// For a circle of radius r in a metric frame u = (r, 0) and v = (0, r), so an arc runs
/// counter-clockwise. Affine maps of a piece map the vectors and leave t alone.
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
Outline outline_of(const Footprint& footprint);

/// Boundary of everything whose distance to the footprint is at most r_m; r_m > 0.
/// Arcs are arcs: nothing is tessellated unless method says `capsules`.
/// Law: convex footprints: area = A + P r + pi r^2 (Steiner) within 1e-12 relative. Walls along the
/// axes move by exactly r. The result depends on nothing but the arguments.
/// Throws: std::invalid_argument for r_m not finite and above 0 or an empty footprint;
/// std::runtime_error with GEOS's reason if even the capsules fail.
/// Source: src/geometry/README.md
Outline outline_within(const Footprint& footprint, double r_m);

/// Enclosed area by Green's theorem: sum of the integrals of x dy, exact to rounding.
double area_m2(const Outline& outline);

/// Bounding box, arcs included.
Box bounds(const Outline& outline);

} // namespace fuelring
