// SPDX-License-Identifier: Apache-2.0
#include "geometry/offset/capsules.hpp"

#include "geometry/geos.hpp"
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
GeosGeometry interior(const Footprint& footprint)
{
    GeosGeometry inside;
    for (const Loop& loop : footprint.loops) {
        GeosGeometry enclosed = repaired_by_linework(geos_polygon({{loop}}).get());
        inside = inside ? in_one_only(inside, enclosed) : std::move(enclosed);
    }
    return inside;
}

} // namespace

template <typename Body>
Outline outline_of_capsules(const Footprint& footprint, const Body& body)
{
    std::vector<GeosGeometry> parts;
    for (const Edge& edge : edges_of(footprint, body))
        parts.push_back(geos_polygon({{capsule(edge, body)}}));
    std::vector<GeosGeometry> both;
    both.push_back(united(std::move(parts)));
    both.push_back(interior(footprint));
    Outline outline = outline_of(footprint_of(polygons_of(united(std::move(both)).get())));
    outline.method = OutlineMethod::capsules;
    return outline;
}

template Outline outline_of_capsules(const Footprint&, const Disc&);
template Outline outline_of_capsules(const Footprint&, const Egg&);

} // namespace fuelring
