// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/geos.hpp"
#include "raster/fuel_corrections.hpp"

#include <vector>

namespace fuelring {

/// Stretches of cells whose centre lies in a polygon, within `extent`. The polygon is in cells: x
/// the column, y the row downwards; parts that its own loops enclose twice are outside (even-odd).
/// Law: of polygons that share an edge and do not overlap, each centre belongs to one.
/// Shape: runs by row, and in a row by column, none empty; two may touch. Rings need not be closed.
/// Cost: a sort of the edges, and for each row one of its crossings. Source: Foley, van Dam, Feiner
/// and Hughes, Computer Graphics: Principles and Practice (scan conversion by active edges).
std::vector<CellRun> cells_inside(const RawPolygon& polygon, const CellRect& extent);

} // namespace fuelring
