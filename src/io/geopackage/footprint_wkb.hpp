// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>
#include <fuelring/grid.hpp>

#include <string>
#include <vector>

namespace fuelring {

/// A shell with its holes; indices into Footprint::loops.
struct ShellWithHoles {
    std::size_t shell = 0;
    std::vector<std::size_t> holes;
};

/// Sorts the loops of a footprint: each hole goes to the smallest shell that contains it.
/// Law: every loop is in the result once; shells keep their order. Requires: shells run
/// counter-clockwise (area above 0) and holes clockwise, loops touch in single points at most, and
/// each hole has a shell.
std::vector<ShellWithHoles> polygons_of(const Footprint& footprint);

/// The footprint as a multi-polygon in the analysis CRS: little-endian WKB (OGC 06-103r4).
/// `grid` is the one the footprint's local metres belong to (Grid::at_scale).
/// Shape: one polygon a shell, its ring first and closed, x before y. No loops give a multi-polygon
/// of nothing.
std::string wkb_multipolygon(const Footprint& footprint, const CellFrame& frame, const Grid& grid);

/// WKB of a point.
/// Shape: 21 bytes, little-endian, x before y. Source: OGC 06-103r4.
std::string wkb_point(Point at);

} // namespace fuelring
