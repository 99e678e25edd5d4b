// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/repair.hpp>

#include <geos_c.h>

#include <memory>
#include <vector>

namespace fuelring {

/// The GEOS context of the calling thread, finished when the thread ends.
GEOSContextHandle_t geos();

struct GeosGeometryDestroy {
    void operator()(GEOSGeometry* g) const noexcept { GEOSGeom_destroy_r(geos(), g); }
};
using GeosGeometry = std::unique_ptr<GEOSGeometry, GeosGeometryDestroy>;
static_assert(sizeof(GeosGeometry) == sizeof(GEOSGeometry*));

struct GeosPreparedDestroy {
    void operator()(const GEOSPreparedGeometry* g) const noexcept
    {
        GEOSPreparedGeom_destroy_r(geos(), g);
    }
};
using GeosPrepared = std::unique_ptr<const GEOSPreparedGeometry, GeosPreparedDestroy>;

/// The polygon, without repeated vertices and loops of less than three; empty where nothing stays.
GeosGeometry geos_polygon(const RawPolygon& polygon);
/// The polygons that have an area, each repaired by linework where its outline crosses itself.
/// Throws: std::runtime_error with GEOS's reason.
struct ValidParts {
    std::vector<GeosGeometry> parts;
    std::size_t repaired = 0; ///< how many crossed themselves
};
ValidParts valid_parts(const std::vector<RawPolygon>& polygons);
/// What any of them covers; empty where there are none.
/// Throws: std::runtime_error with GEOS's reason.
GeosGeometry united(std::vector<GeosGeometry> parts);
/// Both of these. Sets `repaired` where a polygon was.
/// Throws: std::runtime_error with GEOS's reason.
GeosGeometry geos_union(const std::vector<RawPolygon>& polygons, bool& repaired);
/// The polygons of a geometry; lines and points in it are left out.
std::vector<RawPolygon> polygons_of(const GEOSGeometry* geometry);

/// Shells and holes as the loops of a footprint.
Footprint footprint_of(const std::vector<RawPolygon>& polygons);

/// A point inside, for labels and maps. Throws: std::runtime_error with GEOS's reason.
Point point_inside(const GEOSGeometry* geometry);

/// Throws: std::runtime_error with GEOS's reason.
double area_of(const GEOSGeometry* geometry);
/// Area two geometries share. Throws: std::runtime_error with GEOS's reason.
double shared_area(const GEOSGeometry* a, const GEOSGeometry* b);

} // namespace fuelring
