// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

#include <geos_c.h>

#include <memory>
#include <vector>

namespace fuelring {

/// A shell and its holes, as read: loops may be closed or not, turn either way, cross.
struct RawPolygon {
    std::vector<Loop> loops; ///< [0] is the shell
};

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
/// The union of polygons, each repaired by linework where its outline crosses itself; empty where
/// nothing stays. Sets `repaired` where one was.
/// Throws: std::runtime_error with GEOS's reason.
GeosGeometry geos_union(const std::vector<RawPolygon>& polygons, bool& repaired);
/// The polygons of a geometry; lines and points in it are left out.
std::vector<RawPolygon> polygons_of(const GEOSGeometry* geometry);

/// Shells and holes as the loops of a footprint.
Footprint footprint_of(const std::vector<RawPolygon>& polygons);

/// A point inside, for labels and maps. Throws: std::runtime_error with GEOS's reason.
Point point_inside(const GEOSGeometry* geometry);

/// Area two geometries share. Throws: std::runtime_error with GEOS's reason.
double shared_area(const GEOSGeometry* a, const GEOSGeometry* b);

} // namespace fuelring
