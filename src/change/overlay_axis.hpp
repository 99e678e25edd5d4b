// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "change/overlay.hpp"

#include <cstdint>
#include <vector>

namespace fuelring {

/// One axis of two grids laid over each other: every line of either, and which cells of both lie
/// between one and the next.
struct OverlayAxis {
    std::vector<double> lines;       ///< in cells of `after`, from its raster's corner; rising
    std::vector<std::int64_t> after; ///< by interval
    std::vector<std::int64_t> before;

    double width(std::size_t k) const { return lines[k + 1] - lines[k]; }
};

/// Over the columns, or the rows, of a rectangle of `after`. A line of `before` that comes within a
/// millionth of a cell of one of `after` is that line.
OverlayAxis columns_of(const CellRect& rect, const GridRelation& relation);
OverlayAxis rows_of(const CellRect& rect, const GridRelation& relation);

} // namespace fuelring
