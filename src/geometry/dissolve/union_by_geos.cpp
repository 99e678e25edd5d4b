// SPDX-License-Identifier: Apache-2.0
#include "geometry/dissolve/union_by_geos.hpp"

#include "geometry/geos.hpp"
#include "geometry/offset/body.hpp"
#include "geometry/offset/capsules.hpp"

#include <cmath>
#include <vector>

namespace fuelring {
namespace {

/// The corners of a piece with its arcs cut into chords; both ends as they are, bit for bit.
std::vector<Point> corners_of(const Piece& piece)
{
    std::vector<Point> corners{piece.start};
    const double step = quarter_turn / capsule_quadrant_pieces;
    const int chords = piece.arc ? static_cast<int>(std::ceil((piece.t1 - piece.t0) / step)) : 1;
    for (int k = 1; k < chords; ++k)
        corners.push_back(piece.at(piece.t0 + (piece.t1 - piece.t0) * k / chords));
    corners.push_back(piece.end);
    return corners;
}

/// Even-odd over all chords: an outline closes, whatever the order of its pieces.
GeosGeometry region_of(const Outline& outline)
{
    std::vector<std::vector<Point>> lines;
    lines.reserve(outline.pieces.size());
    for (const Piece& piece : outline.pieces)
        lines.push_back(corners_of(piece));
    return enclosed_by(lines);
}

} // namespace

Outline difference_by_geos(const Outline& region, const std::vector<Outline>& others)
{
    std::vector<GeosGeometry> parts;
    for (const Outline& other : others)
        parts.push_back(region_of(other));
    GeosGeometry beyond = region_of(region);
    if (const GeosGeometry all = united(std::move(parts)))
        beyond = difference(beyond, all);
    Outline outline = outline_of(footprint_of(polygons_of(beyond.get())));
    outline.method = OutlineMethod::capsules;
    return outline;
}

} // namespace fuelring
