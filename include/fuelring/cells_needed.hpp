// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/export.hpp>
#include <fuelring/measure.hpp>

namespace fuelring {

/// The cells that `measure` reads: those of the widest outline and one more on each side, since a
/// boundary on a grid line looks at the cell beyond. They may lie off the raster: give such cells
/// the class no_data_class.
/// Throws: std::invalid_argument where there are no outlines, or they lie too far off to count
/// cells (Grid::cells_of).
FUELRING_EXPORT CellRect cells_needed(const RingOutlines& outlines, const CellFrame& frame,
                                      const Grid& grid);

} // namespace fuelring
