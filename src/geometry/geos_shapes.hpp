// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

#include <geos_c.h>

#include <memory>
#include <string>
#include <vector>

namespace fuelring {

struct GeosContextFinish {
    void operator()(GEOSContextHandle_t context) const noexcept { GEOS_finish_r(context); }
};

/// GEOS needs its context to destroy a geometry, so this deleter carries it.
struct GeosShapeDestroy {
    GEOSContextHandle_t context;
    void operator()(GEOSGeometry* shape) const noexcept { GEOSGeom_destroy_r(context, shape); }
};
using GeosShape = std::unique_ptr<GEOSGeometry, GeosShapeDestroy>;

/// GEOS with one context of its own, for the last resorts of this layer. Shapes must not outlive
/// it. Throws, as all of it: std::runtime_error with GEOS's reason.
class GeosShapes {
public:
    GeosShapes();
    GeosShapes(const GeosShapes&) = delete;
    GeosShapes& operator=(const GeosShapes&) = delete;

    GeosShape polygon(const Loop& shell);
    /// What lines enclose, wherever they cross: even-odd.
    GeosShape enclosed_by(const std::vector<std::vector<Point>>& lines);
    /// The same area by even-odd, where rounding made an outline cross itself.
    GeosShape repaired(const GeosShape& shape);
    GeosShape united(std::vector<GeosShape> parts);
    GeosShape in_one_only(const GeosShape& a, const GeosShape& b);
    GeosShape difference(const GeosShape& a, const GeosShape& b);

    /// A part of the plane that lines enclose.
    struct Face {
        double area_m2;
        Point inside;
    };
    /// The faces into which lines divide what they enclose, wherever they cross.
    std::vector<Face> faces(const std::vector<std::vector<Point>>& lines);

    /// The rings of all polygons in a shape.
    std::vector<RawLoop> rings_of(const GeosShape& shape);

private:
    GeosShape own(GEOSGeometry* shape);
    GeosShape noded(const std::vector<std::vector<Point>>& lines);
    GEOSCoordSequence* sequence(const std::vector<Point>& points, bool closed);
    GeosShape collection(int type, std::vector<GeosShape> parts);
    Loop vertices(const GEOSGeometry* ring);

    std::unique_ptr<GEOSContextHandle_HS, GeosContextFinish> context_;
    std::string reason_;
};

} // namespace fuelring
