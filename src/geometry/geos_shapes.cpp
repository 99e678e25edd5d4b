// SPDX-License-Identifier: Apache-2.0
#include "geometry/geos_shapes.hpp"

#include <stdexcept>

namespace fuelring {

GeosShapes::GeosShapes() : context_(GEOS_init_r())
{
    GEOSContext_setErrorMessageHandler_r(
        context_.get(),
        [](const char* message, void* self) { static_cast<GeosShapes*>(self)->reason_ = message; },
        this);
}

GeosShape GeosShapes::own(GEOSGeometry* shape)
{
    if (!shape)
        throw std::runtime_error("GEOS cannot unite outlines: " + reason_);
    return {shape, GeosShapeDestroy{context_.get()}};
}

GEOSCoordSequence* GeosShapes::sequence(const std::vector<Point>& points, bool closed)
{
    const std::size_t count = points.size() + (closed ? 1 : 0);
    GEOSCoordSequence* line =
        GEOSCoordSeq_create_r(context_.get(), static_cast<unsigned>(count), 2);
    for (std::size_t i = 0; line && i < count; ++i) {
        const Point p = points[i % points.size()];
        GEOSCoordSeq_setXY_r(context_.get(), line, static_cast<unsigned>(i), p.x, p.y);
    }
    return line;
}

GeosShape GeosShapes::polygon(const Loop& shell)
{
    GEOSCoordSequence* line = sequence(shell, true);
    GEOSGeometry* ring = line ? GEOSGeom_createLinearRing_r(context_.get(), line) : nullptr;
    return own(ring ? GEOSGeom_createPolygon_r(context_.get(), ring, nullptr, 0) : nullptr);
}

/// All lines, cut wherever they cross.
GeosShape GeosShapes::noded(const std::vector<std::vector<Point>>& lines)
{
    std::vector<GeosShape> parts;
    parts.reserve(lines.size());
    for (const std::vector<Point>& points : lines) {
        GEOSCoordSequence* line = sequence(points, false);
        parts.push_back(own(line ? GEOSGeom_createLineString_r(context_.get(), line) : nullptr));
    }
    const GeosShape all = collection(GEOS_MULTILINESTRING, std::move(parts));
    return own(GEOSUnaryUnion_r(context_.get(), all.get()));
}

GeosShape GeosShapes::enclosed_by(const std::vector<std::vector<Point>>& lines)
{
    return own(GEOSBuildArea_r(context_.get(), noded(lines).get()));
}

std::vector<GeosShapes::Face> GeosShapes::faces(const std::vector<std::vector<Point>>& lines)
{
    const auto context = context_.get();
    const GeosShape cut = noded(lines);
    const GEOSGeometry* const all = cut.get();
    const GeosShape parts = own(GEOSPolygonize_r(context, &all, 1));
    std::vector<Face> faces;
    for (int i = 0; i < GEOSGetNumGeometries_r(context, parts.get()); ++i) {
        const GEOSGeometry* part = GEOSGetGeometryN_r(context, parts.get(), i);
        Face& face = faces.emplace_back();
        GEOSArea_r(context, part, &face.area_m2);
        const GeosShape inside = own(GEOSPointOnSurface_r(context, part));
        GEOSGeomGetX_r(context, inside.get(), &face.inside.x);
        GEOSGeomGetY_r(context, inside.get(), &face.inside.y);
    }
    return faces;
}

GeosShape GeosShapes::repaired(const GeosShape& shape)
{
    return own(GEOSMakeValid_r(context_.get(), shape.get()));
}

GeosShape GeosShapes::united(std::vector<GeosShape> parts)
{
    const GeosShape all = collection(GEOS_GEOMETRYCOLLECTION, std::move(parts));
    return own(GEOSUnaryUnion_r(context_.get(), all.get()));
}

GeosShape GeosShapes::in_one_only(const GeosShape& a, const GeosShape& b)
{
    return own(GEOSSymDifference_r(context_.get(), a.get(), b.get()));
}

GeosShape GeosShapes::difference(const GeosShape& a, const GeosShape& b)
{
    return own(GEOSDifference_r(context_.get(), a.get(), b.get()));
}

GeosShape GeosShapes::collection(int type, std::vector<GeosShape> parts)
{
    std::vector<GEOSGeometry*> raw;
    raw.reserve(parts.size());
    for (GeosShape& part : parts)
        raw.push_back(part.release());
    return own(GEOSGeom_createCollection_r(context_.get(), type, raw.data(),
                                           static_cast<unsigned>(raw.size())));
}

std::vector<RawLoop> GeosShapes::rings_of(const GeosShape& shape)
{
    const auto context = context_.get();
    std::vector<RawLoop> rings;
    for (int i = 0; i < GEOSGetNumGeometries_r(context, shape.get()); ++i) {
        const GEOSGeometry* part = GEOSGetGeometryN_r(context, shape.get(), i);
        if (GEOSGeomTypeId_r(context, part) != GEOS_POLYGON || GEOSisEmpty_r(context, part))
            continue;
        rings.push_back({vertices(GEOSGetExteriorRing_r(context, part)), false});
        for (int k = 0; k < GEOSGetNumInteriorRings_r(context, part); ++k)
            rings.push_back({vertices(GEOSGetInteriorRingN_r(context, part, k)), true});
    }
    return rings;
}

Loop GeosShapes::vertices(const GEOSGeometry* ring)
{
    const GEOSCoordSequence* line = GEOSGeom_getCoordSeq_r(context_.get(), ring);
    unsigned count = 0;
    GEOSCoordSeq_getSize_r(context_.get(), line, &count);
    Loop loop(count);
    for (unsigned i = 0; i < count; ++i)
        GEOSCoordSeq_getXY_r(context_.get(), line, i, &loop[i].x, &loop[i].y);
    return loop;
}

} // namespace fuelring
