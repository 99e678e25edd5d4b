// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/geos.hpp"
#include "io/gdal/reprojection.hpp"

#include <fuelring/grid.hpp>

#include <vector>

class OGRGeometry;

namespace fuelring {

/// What a feature's geometry holds: its polygons, and how many points and lines beside them.
struct RawOutline {
    std::vector<RawPolygon> polygons;
    int other_parts = 0;
};

/// Polygons of any OGR geometry, curves made straight, heights dropped. Null gives none.
RawOutline raw_outline(const OGRGeometry* geometry);

/// False where a coordinate is not finite, or so far off (over 100,000 km) that it is no place.
bool is_place(Point p);

/// Every vertex into the analysis CRS. False where one is not finite before, or no place after.
bool reproject(std::vector<RawPolygon>& polygons, const Reprojection& to_analysis);

/// The frame of an outline: that of the cell at its lower left corner, so that it depends on the
/// outline alone. Requires: at least one vertex.
CellFrame frame_of(const std::vector<RawPolygon>& polygons, const Grid& grid);
/// The middle of the box around an outline. Requires: at least one vertex.
Point middle_of(const std::vector<RawPolygon>& polygons);
/// Vertices of the analysis CRS into local metres.
void to_local(std::vector<RawPolygon>& polygons, const CellFrame& frame, const Grid& grid);

/// A point of a structure's frame in the units of the grid, from the corner of cell (0, 0):
/// neighbours may have different map scales, so what lies between them is done here.
class ToGrid {
public:
    ToGrid(const CellFrame& frame, LocalScale map_scale, const Grid& grid);
    Point operator()(Point local) const
    {
        return {local.x * scale_.x + shift_.x, local.y * scale_.y + shift_.y};
    }
    Box operator()(const Box& local) const { return {(*this)(local.min), (*this)(local.max)}; }

private:
    LocalScale scale_;
    Point shift_;
};

} // namespace fuelring
