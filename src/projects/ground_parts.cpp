// SPDX-License-Identifier: Apache-2.0

// Polygons come one after the other. Each cuts the parts that were there before into what it holds
// and what it does not; what no part held is a part of its own.
#include "projects/ground_parts.hpp"

#include <utility>

namespace fuelring {

namespace {

/// Smaller than that is what rounding leaves along a shared border.
constexpr double least_area = 1e-9;

/// A part while others still cut it.
struct CutPart {
    std::vector<std::uint32_t> polygons;
    GeosGeometry geometry;
    Box box;
};

bool is_ground(const GeosGeometry& geometry)
{
    return geometry && area_of(geometry.get()) > least_area;
}

Box box_of(const GeosGeometry& geometry)
{
    Box box = Box::nothing();
    for (const RawPolygon& polygon : polygons_of(geometry.get()))
        for (const Point p : polygon.loops.front())
            box.take_in(p);
    return box;
}

void add_piece(std::vector<std::uint32_t> polygons, GeosGeometry geometry,
               std::vector<CutPart>& pieces)
{
    if (!is_ground(geometry))
        return;
    const Box box = box_of(geometry);
    pieces.push_back({std::move(polygons), std::move(geometry), box});
}

/// Cuts all pieces along polygon k, and adds what of it none of them held.
std::vector<CutPart> cut_along(std::uint32_t k, GeosGeometry polygon, std::vector<CutPart> pieces)
{
    const Box box = box_of(polygon);
    std::vector<CutPart> cut;
    for (CutPart& piece : pieces) {
        GeosGeometry shared;
        if (piece.box.meets(box))
            shared = in_both(piece.geometry, polygon);
        if (!is_ground(shared)) {
            cut.push_back(std::move(piece));
            continue;
        }
        GeosGeometry rest = difference(piece.geometry, polygon);
        polygon = difference(polygon, piece.geometry);
        add_piece(piece.polygons, std::move(rest), cut);
        piece.polygons.push_back(k);
        add_piece(std::move(piece.polygons), std::move(shared), cut);
    }
    add_piece({k}, std::move(polygon), cut);
    return cut;
}

} // namespace

std::vector<GroundPart> ground_parts(const std::vector<std::vector<RawPolygon>>& polygons)
{
    std::vector<CutPart> pieces;
    for (std::uint32_t k = 0; k < polygons.size(); ++k) {
        bool repaired = false;
        GeosGeometry polygon = geos_union(polygons[k], repaired);
        if (polygon)
            pieces = cut_along(k, std::move(polygon), std::move(pieces));
    }
    std::vector<GroundPart> parts;
    for (CutPart& piece : pieces)
        parts.push_back({std::move(piece.polygons), polygons_of(piece.geometry.get())});
    return parts;
}

} // namespace fuelring
