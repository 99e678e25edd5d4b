// SPDX-License-Identifier: Apache-2.0
#include "geometry/require.hpp"

#include <fuelring/cells_needed.hpp>

namespace fuelring {

CellRect cells_needed(const RingOutlines& outlines, const CellFrame& frame, const Grid& grid)
{
    require(!outlines.within.empty(), "cells_needed: there are no outlines");
    const CellRect cells = grid.cells_of(frame, bounds(outlines.within.back()));
    return {cells.col - 1, cells.row - 1, cells.cols + 2, cells.rows + 2};
}

} // namespace fuelring
