// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/report_data/run_picture_in.hpp"
#include "report/print/map_view.hpp"

namespace fuelring {

/// The conifers that a run saw of `box` (the picture's coordinates), in about `most_cells` cells at
/// most: means over whole cells of fuel_used.tif. A cell is `unmapped` where most of what was
/// reached in it is; ground that was not reached counts as bare. Frame: the axes of the grid from
/// the corner of cell (0, 0), units of the CRS. Throws: Error{input} naming the file.
report::MapCells read_conifer_cells(const PictureSource& source, const Box& box,
                                    std::int64_t most_cells);

} // namespace fuelring
