// SPDX-License-Identifier: Apache-2.0

// GEOS reports failure by null or by a code, and its reason to a handler: `checked` and `fail` join
// both. A context is no business of two threads at once, so each thread has its own.
#include "geometry/geos.hpp"

#include <algorithm>
#include <stdexcept>
#include <string>

namespace fuelring {

namespace {

static_assert(sizeof(Point) == 2 * sizeof(double),
              "loops are handed to GEOS as they lie in memory");

/// A context, and the reason of its last failure.
struct Context {
    GEOSContextHandle_t handle = GEOS_init_r();
    std::string reason;

    Context()
    {
        GEOSContext_setErrorMessageHandler_r(
            handle,
            [](const char* text, void* self) { static_cast<Context*>(self)->reason = text; }, this);
    }
    ~Context() { GEOS_finish_r(handle); }
    Context(const Context&) = delete;
    Context& operator=(const Context&) = delete;
};

Context& context()
{
    thread_local Context of_thread;
    return of_thread;
}

[[noreturn]] void fail()
{
    throw std::runtime_error{"GEOS: " + context().reason};
}

GeosGeometry checked(GEOSGeometry* geometry)
{
    if (!geometry)
        fail();
    return GeosGeometry{geometry};
}

/// Closed, without repeated vertices; empty when fewer than three stay.
Loop closed_loop(const Loop& raw)
{
    Loop loop;
    loop.reserve(raw.size() + 1);
    std::unique_copy(raw.begin(), raw.end(), std::back_inserter(loop));
    while (loop.size() > 1 && loop.back() == loop.front())
        loop.pop_back();
    if (loop.size() < 3)
        return {};
    loop.push_back(loop.front());
    return loop;
}

GEOSCoordSequence* sequence(const std::vector<Point>& points)
{
    const auto n = static_cast<unsigned>(points.size());
    GEOSCoordSequence* line = GEOSCoordSeq_copyFromBuffer_r(geos(), &points.front().x, n, 0, 0);
    if (!line)
        fail();
    return line;
}

GeosGeometry geos_ring(const Loop& closed)
{
    return checked(GEOSGeom_createLinearRing_r(geos(), sequence(closed))); // takes it over
}

Loop loop_of(const GEOSGeometry* ring)
{
    const GEOSCoordSequence* vertices = GEOSGeom_getCoordSeq_r(geos(), ring);
    unsigned n = 0;
    if (!vertices || !GEOSCoordSeq_getSize_r(geos(), vertices, &n))
        fail();
    Loop loop(n);
    if (n > 0 && !GEOSCoordSeq_copyToBuffer_r(geos(), vertices, &loop.front().x, 0, 0))
        fail();
    return loop;
}

void collect_polygons(const GEOSGeometry* geometry, std::vector<RawPolygon>& polygons)
{
    const int type = GEOSGeomTypeId_r(geos(), geometry);
    if (type == GEOS_POLYGON && !GEOSisEmpty_r(geos(), geometry)) {
        RawPolygon& polygon = polygons.emplace_back();
        polygon.loops.push_back(loop_of(GEOSGetExteriorRing_r(geos(), geometry)));
        for (int k = 0; k < GEOSGetNumInteriorRings_r(geos(), geometry); ++k)
            polygon.loops.push_back(loop_of(GEOSGetInteriorRingN_r(geos(), geometry, k)));
    } else if (type == GEOS_MULTIPOLYGON || type == GEOS_GEOMETRYCOLLECTION) {
        for (int k = 0; k < GEOSGetNumGeometries_r(geos(), geometry); ++k)
            collect_polygons(GEOSGetGeometryN_r(geos(), geometry, k), polygons);
    }
}

/// GEOS takes the parts over, so they are released first.
GeosGeometry collected(std::vector<GeosGeometry> parts, int type = GEOS_GEOMETRYCOLLECTION)
{
    std::vector<GEOSGeometry*> given;
    given.reserve(parts.size());
    for (GeosGeometry& part : parts)
        given.push_back(part.release());
    return checked(GEOSGeom_createCollection_r(geos(), type, given.data(),
                                               static_cast<unsigned>(given.size())));
}

/// All lines, cut wherever they cross.
GeosGeometry noded_lines(const std::vector<std::vector<Point>>& lines)
{
    std::vector<GeosGeometry> parts;
    parts.reserve(lines.size());
    for (const std::vector<Point>& line : lines)
        parts.push_back(checked(GEOSGeom_createLineString_r(geos(), sequence(line))));
    const GeosGeometry all = collected(std::move(parts), GEOS_MULTILINESTRING);
    return checked(GEOSUnaryUnion_r(geos(), all.get()));
}

} // namespace

GEOSContextHandle_t geos()
{
    return context().handle;
}

GeosGeometry geos_polygon(const RawPolygon& polygon)
{
    std::vector<GEOSGeometry*> holes;
    const Loop shell = polygon.loops.empty() ? Loop{} : closed_loop(polygon.loops.front());
    if (shell.empty())
        return nullptr;
    GeosGeometry outer = geos_ring(shell);
    for (std::size_t k = 1; k < polygon.loops.size(); ++k)
        if (const Loop hole = closed_loop(polygon.loops[k]); !hole.empty())
            holes.push_back(geos_ring(hole).release());
    return checked(GEOSGeom_createPolygon_r(geos(), outer.release(), holes.data(),
                                            static_cast<unsigned>(holes.size())));
}

GeosGeometry repaired_by_linework(const GEOSGeometry* geometry)
{
    const std::unique_ptr<GEOSMakeValidParams, GeosDestroy> params{
        GEOSMakeValidParams_create_r(geos())};
    GEOSMakeValidParams_setMethod_r(geos(), params.get(), GEOS_MAKE_VALID_LINEWORK);
    GEOSMakeValidParams_setKeepCollapsed_r(geos(), params.get(), 0);
    return checked(GEOSMakeValidWithParams_r(geos(), geometry, params.get()));
}

ValidParts valid_parts(const std::vector<RawPolygon>& polygons)
{
    ValidParts valid;
    for (const RawPolygon& polygon : polygons) {
        GeosGeometry part = geos_polygon(polygon);
        if (part && GEOSisValid_r(geos(), part.get()) != 1) {
            part = repaired_by_linework(part.get());
            ++valid.repaired;
        }
        if (part && !GEOSisEmpty_r(geos(), part.get()))
            valid.parts.push_back(std::move(part));
    }
    return valid;
}

GeosGeometry united(std::vector<GeosGeometry> parts)
{
    if (parts.empty())
        return nullptr;
    if (parts.size() == 1)
        return std::move(parts.front());
    return checked(GEOSUnaryUnion_r(geos(), collected(std::move(parts)).get()));
}

GeosGeometry geos_union(const std::vector<RawPolygon>& polygons, bool& repaired)
{
    ValidParts valid = valid_parts(polygons);
    repaired = repaired || valid.repaired > 0;
    return united(std::move(valid.parts));
}

GeosGeometry enclosed_by(const std::vector<std::vector<Point>>& lines)
{
    return checked(GEOSBuildArea_r(geos(), noded_lines(lines).get()));
}

GeosGeometry in_one_only(const GeosGeometry& a, const GeosGeometry& b)
{
    return checked(GEOSSymDifference_r(geos(), a.get(), b.get()));
}

GeosGeometry difference(const GeosGeometry& a, const GeosGeometry& b)
{
    return checked(GEOSDifference_r(geos(), a.get(), b.get()));
}

GeosGeometry in_both(const GeosGeometry& a, const GeosGeometry& b)
{
    return checked(GEOSIntersection_r(geos(), a.get(), b.get()));
}

GeosGeometry strip_around(const std::vector<Point>& line, double distance)
{
    constexpr int quarter_segments = 8; // of round joins, which there are none
    constexpr double longest_mitre = 5;
    const GeosGeometry middle = checked(GEOSGeom_createLineString_r(geos(), sequence(line)));
    return checked(GEOSBufferWithStyle_r(geos(), middle.get(), distance, quarter_segments,
                                         GEOSBUF_CAP_FLAT, GEOSBUF_JOIN_MITRE, longest_mitre));
}

std::vector<Face> faces(std::vector<Loop> loops)
{
    for (Loop& loop : loops)
        loop.push_back(loop.front());
    const GeosGeometry cut = noded_lines(loops);
    const GEOSGeometry* const all = cut.get();
    const GeosGeometry parts = checked(GEOSPolygonize_r(geos(), &all, 1));
    std::vector<Face> faces;
    for (int k = 0; k < GEOSGetNumGeometries_r(geos(), parts.get()); ++k) {
        const GEOSGeometry* part = GEOSGetGeometryN_r(geos(), parts.get(), k);
        faces.push_back({area_of(part), point_inside(part)});
    }
    return faces;
}

std::vector<RawPolygon> polygons_of(const GEOSGeometry* geometry)
{
    std::vector<RawPolygon> polygons;
    collect_polygons(geometry, polygons);
    return polygons;
}

Footprint footprint_of(const std::vector<RawPolygon>& polygons)
{
    std::vector<RawLoop> loops;
    for (const RawPolygon& polygon : polygons)
        for (std::size_t k = 0; k < polygon.loops.size(); ++k)
            loops.push_back({polygon.loops[k], k > 0});
    return normalised(loops);
}

Point point_inside(const GEOSGeometry* geometry)
{
    const GeosGeometry point = checked(GEOSPointOnSurface_r(geos(), geometry));
    Point p;
    if (GEOSGeomGetX_r(geos(), point.get(), &p.x) != 1 ||
        GEOSGeomGetY_r(geos(), point.get(), &p.y) != 1)
        fail();
    return p;
}

double area_of(const GEOSGeometry* geometry)
{
    double area = 0;
    if (GEOSArea_r(geos(), geometry, &area) != 1)
        fail();
    return area;
}

double shared_area(const GEOSGeometry* a, const GEOSGeometry* b)
{
    const GeosGeometry shared = checked(GEOSIntersection_r(geos(), a, b));
    return area_of(shared.get());
}

} // namespace fuelring
