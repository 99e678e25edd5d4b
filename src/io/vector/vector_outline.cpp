// SPDX-License-Identifier: Apache-2.0

// OGR has a dozen kinds of geometry; here each is taken apart into polygons. Points and lines among
// them are counted, so that a layer of the wrong kind can be told.
#include "io/vector/vector_outline.hpp"

#include <ogr_geometry.h>

#include <cmath>
#include <memory>

namespace fuelring {

namespace {

constexpr double farthest_m = 1e8;
/// Straight pieces of a curve turn by no more than this; a roof's bow then errs by 0.004 per cent.
constexpr double curve_step_degrees = 1;

Loop loop_of_curve(const OGRSimpleCurve& ring)
{
    Loop loop(static_cast<std::size_t>(ring.getNumPoints()));
    if (!loop.empty())
        ring.getPoints(&loop.front().x, sizeof(Point), &loop.front().y, sizeof(Point));
    return loop;
}

void collect(const OGRGeometry& geometry, RawOutline& outline)
{
    switch (wkbFlatten(geometry.getGeometryType())) {
    case wkbPolygon:
    case wkbTriangle: {
        if (geometry.IsEmpty())
            return;
        RawPolygon& polygon = outline.polygons.emplace_back();
        for (const OGRLinearRing* ring : *geometry.toPolygon())
            polygon.loops.push_back(loop_of_curve(*ring));
        return;
    }
    case wkbMultiPolygon:
    case wkbGeometryCollection:
        for (const OGRGeometry* part : *geometry.toGeometryCollection())
            collect(*part, outline);
        return;
    case wkbPolyhedralSurface:
    case wkbTIN:
        for (const OGRPolygon* part : *geometry.toPolyhedralSurface())
            collect(*part, outline);
        return;
    default:
        outline.other_parts += geometry.IsEmpty() ? 0 : 1;
    }
}

Box box_of(const std::vector<RawPolygon>& polygons)
{
    Box extent = Box::nothing();
    for_each_vertex(polygons, [&](Point p) { extent.take_in(p); });
    return extent;
}

} // namespace

bool is_place(Point p)
{
    return std::abs(p.x) <= farthest_m && std::abs(p.y) <= farthest_m; // false for NaN, too
}

RawOutline raw_outline(const OGRGeometry* geometry)
{
    RawOutline outline;
    if (!geometry)
        return outline;
    if (geometry->hasCurveGeometry()) {
        const std::unique_ptr<OGRGeometry> straight{
            geometry->getLinearGeometry(curve_step_degrees)};
        if (straight)
            collect(*straight, outline);
    } else {
        collect(*geometry, outline);
    }
    return outline;
}

CellFrame frame_of(const std::vector<RawPolygon>& polygons, const Grid& grid)
{
    return grid.frame_at(box_of(polygons).min);
}

Point middle_of(const std::vector<RawPolygon>& polygons)
{
    return box_of(polygons).centre();
}

void to_local(std::vector<RawPolygon>& polygons, const CellFrame& frame, const Grid& grid)
{
    for_each_vertex(polygons, [&](Point& p) { p = grid.to_local(frame, p); });
}

} // namespace fuelring
