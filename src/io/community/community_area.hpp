// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "geometry/geos.hpp"
#include "io/gdal/crs.hpp"

#include <vector>

namespace fuelring {

/// The land that a run is about: polygons of a layer, or a box. What stands outside is left out.
class CommunityArea {
public:
    /// Throws: Error{input} naming the layer: not readable, no polygons, no CRS; Error{usage} for a
    /// CRS of the box that there is not.
    explicit CommunityArea(const AreaSource& source);

    const Crs& crs() const { return crs_; }
    /// Of a place in crs(). Holes of a polygon are outside; the edge belongs to either side.
    bool holds(Point p) const;

private:
    struct Part {
        Box box;
        RawPolygon polygon;
    };
    Crs crs_;
    std::vector<Part> parts_;
};

} // namespace fuelring
