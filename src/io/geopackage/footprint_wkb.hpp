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
std::vector<ShellWithHoles> polygons_of(const Footprint& footprint);

/// The footprint as a multi-polygon in the analysis CRS: little-endian WKB (OGC 06-103r4).
/// `grid` is the one the footprint's local metres belong to (Grid::at_scale).
std::string wkb_multipolygon(const Footprint& footprint, const CellFrame& frame, const Grid& grid);

/// WKB of a point.
std::string wkb_point(Point at);

} // namespace fuelring
