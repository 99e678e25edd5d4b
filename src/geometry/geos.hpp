// SPDX-License-Identifier: Apache-2.0

// The one wrapper of GEOS: handles that free themselves, and what this project asks of it. All of
// it throws std::runtime_error with GEOS's reason, and works in the context of the calling thread:
// handles end in the thread in which they began.
#pragma once

#include <fuelring/repair.hpp>

#include <geos_c.h>

#include <memory>
#include <vector>

namespace fuelring {

/// The GEOS context of the calling thread, finished when the thread ends.
/// Its errors are kept as text for the exception that follows; GEOS prints nothing.
GEOSContextHandle_t geos();

/// Stateless, so that a handle is as large as a pointer. Frees in the context of the thread that
/// destroys.
struct GeosDestroy {
    void operator()(GEOSGeometry* g) const noexcept { GEOSGeom_destroy_r(geos(), g); }
    void operator()(const GEOSPreparedGeometry* g) const noexcept
    {
        GEOSPreparedGeom_destroy_r(geos(), g);
    }
    void operator()(GEOSMakeValidParams* p) const noexcept
    {
        GEOSMakeValidParams_destroy_r(geos(), p);
    }
};
/// Null where an operation says that nothing is left, else never.
using GeosGeometry = std::unique_ptr<GEOSGeometry, GeosDestroy>;
using GeosPrepared = std::unique_ptr<const GEOSPreparedGeometry, GeosDestroy>;
static_assert(sizeof(GeosGeometry) == sizeof(GEOSGeometry*));

/// The polygon, without repeated vertices and loops of less than three; empty where nothing stays.
/// Shape: the first loop is the shell, the others are holes; loops may be closed or not. "Empty" is
/// a null handle. Validity is not judged.
GeosGeometry geos_polygon(const RawPolygon& polygon);
/// The same area by even-odd: what an outline that crosses itself encloses once is inside, twice is
/// outside (make_valid by linework). What has no area is dropped.
/// Shape: a polygon, several, or an empty geometry.
GeosGeometry repaired_by_linework(const GEOSGeometry* geometry);

/// The polygons that have an area, each repaired by linework where its outline crosses itself.
struct ValidParts {
    std::vector<GeosGeometry> parts;
    std::size_t repaired = 0; ///< how many crossed themselves
};
/// Shape: at most one part for each polygon, in their order.
ValidParts valid_parts(const std::vector<RawPolygon>& polygons);
/// What any of them covers; null where there are none.
/// Law: its area is at most the sum of the parts'. A lone part is handed back as it is.
GeosGeometry united(std::vector<GeosGeometry> parts);
/// Both of these. Sets `repaired` where a polygon was.
/// Null where no polygon has an area.
GeosGeometry geos_union(const std::vector<RawPolygon>& polygons, bool& repaired);

/// What lines enclose, wherever they cross: even-odd.
/// Requires: each line has two points or more. A line need not be closed, all of them together
/// bound the area.
GeosGeometry enclosed_by(const std::vector<std::vector<Point>>& lines);
/// What lies in one of the two only.
/// Requires here and below: no handle is null. Areas are in the square of the coordinates' unit.
GeosGeometry in_one_only(const GeosGeometry& a, const GeosGeometry& b);
/// What of `a` lies outside `b`.
GeosGeometry difference(const GeosGeometry& a, const GeosGeometry& b);
/// What lies in both.
GeosGeometry in_both(const GeosGeometry& a, const GeosGeometry& b);

/// What lies within a distance of a line and not beyond its ends; mitred where the line turns, but
/// for turns so sharp that the mitre would be longer than five times the distance.
/// Requires: two points or more, of which two differ.
GeosGeometry strip_around(const std::vector<Point>& line, double distance);

/// A part of the plane that lines enclose.
/// `inside` lies in its interior, away from holes.
struct Face {
    double area_m2;
    Point inside;
};
/// The faces into which loops divide what they enclose, wherever they cross.
/// Law: faces do not overlap. Holes are faces, too: how often loops turn about `inside` tells
/// which. Requires: no loop is empty; last vertices are not repeated.
std::vector<Face> faces(std::vector<Loop> loops);

/// The polygons of a geometry; lines and points in it are left out.
/// Shape: shell first, then holes; loops as GEOS keeps them, the first vertex repeated at the end.
std::vector<RawPolygon> polygons_of(const GEOSGeometry* geometry);
/// Shells and holes as the loops of a footprint.
/// Turned and cleaned by `normalised`, which throws std::invalid_argument for far-off coordinates.
Footprint footprint_of(const std::vector<RawPolygon>& polygons);
/// A point inside, for labels and maps.
/// Anywhere in its interior; which one GEOS says.
Point point_inside(const GEOSGeometry* geometry);
/// In the square of the coordinates' unit; holes are taken off, parts add up.
double area_of(const GEOSGeometry* geometry);
/// Area two geometries share.
double shared_area(const GEOSGeometry* a, const GEOSGeometry* b);

} // namespace fuelring
