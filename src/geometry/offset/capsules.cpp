// SPDX-License-Identifier: Apache-2.0
#include "geometry/offset/capsules.hpp"

#include "geometry/geos_shapes.hpp"
#include "geometry/offset/edges.hpp"

#include <vector>

namespace fuelring {
namespace {

/// The hull of edge + body: the part of the boundary with normals to one side about one end, the
/// other part about the other end.
template <typename Body>
Loop capsule(const Edge& edge, const Body& body)
{
    constexpr double step = quarter_turn / capsule_quadrant_pieces;
    Loop loop;
    for (const bool at_b : {true, false}) {
        const Point outwards = at_b ? edge.normal : -1 * edge.normal;
        const double from = body.parameter(outwards);
        double to = body.parameter(-1 * outwards);
        to += to < from ? full_turn : 0;
        // Rounding must not make one more of a whole number of steps.
        const int steps = static_cast<int>(std::ceil((to - from) / step - 1e-6));
        for (int i = 0; i <= steps; ++i) {
            const double t = from + (to - from) * i / steps;
            const Half half = std::cos(t) >= 0 ? Half::downhill : Half::uphill;
            loop.push_back((at_b ? edge.b : edge.a) + body.at(half, t));
        }
    }
    return loop;
}

/// The footprint itself: loops nest, so what is inside an odd number of them.
GeosShape interior(GeosShapes& geos, const Footprint& footprint)
{
    GeosShape inside = geos.repaired(geos.polygon(footprint.loops.front()));
    for (std::size_t i = 1; i < footprint.loops.size(); ++i)
        inside = geos.in_one_only(inside, geos.repaired(geos.polygon(footprint.loops[i])));
    return inside;
}

} // namespace

template <typename Body>
Outline outline_of_capsules(const Footprint& footprint, const Body& body)
{
    GeosShapes geos;
    std::vector<GeosShape> parts;
    for (const Edge& edge : edges_of(footprint, body))
        parts.push_back(geos.polygon(capsule(edge, body)));
    std::vector<GeosShape> both;
    both.push_back(geos.united(std::move(parts)));
    both.push_back(interior(geos, footprint));
    const GeosShape all = geos.united(std::move(both));

    Outline outline = outline_of(normalised(geos.rings_of(all)));
    outline.method = OutlineMethod::capsules;
    return outline;
}

template Outline outline_of_capsules(const Footprint&, const Disc&);
template Outline outline_of_capsules(const Footprint&, const Egg&);

} // namespace fuelring
