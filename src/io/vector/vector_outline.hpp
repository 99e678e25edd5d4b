// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/geos.hpp"

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
/// A piece of a curve turns by a degree at most: a bow then errs by 0.004 % of its radius (1 less
/// the cosine of half a degree).
/// Shape: loops as the file has them, of either direction, the first of a polygon its shell; rings
/// may come closed.
RawOutline raw_outline(const OGRGeometry* geometry);

/// Calls act(vertex) for every vertex of every loop.
template <typename Polygons, typename Act>
void for_each_vertex(Polygons& polygons, Act&& act)
{
    for (auto& polygon : polygons)
        for (auto& loop : polygon.loops)
            for (auto& vertex : loop)
                act(vertex);
}

/// False where a coordinate is not finite, or so far off (over 100,000 km) that it is no place.
bool is_place(Point p);

/// The frame of an outline: that of the cell at its lower left corner, so that it depends on the
/// outline alone. Requires: at least one vertex.
CellFrame frame_of(const std::vector<RawPolygon>& polygons, const Grid& grid);
/// The middle of the box around an outline. Requires: at least one vertex.
Point middle_of(const std::vector<RawPolygon>& polygons);
/// Vertices of the analysis CRS into local metres.
/// Unit: from that of the CRS to metres of the frame.
void to_local(std::vector<RawPolygon>& polygons, const CellFrame& frame, const Grid& grid);

} // namespace fuelring
