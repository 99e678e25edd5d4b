// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/imagery/image_raster.hpp"
#include "run/config/config.hpp"

#include <cstdint>
#include <vector>

namespace fuelring {

/// A block of the outputs, by column and row of blocks.
struct ClassBlock {
    std::int64_t col = 0;
    std::int64_t row = 0;
};

/// The grid that `classify` works on, and which of its blocks it looks at.
struct ClassGrid {
    AnalysisGrid analysis;
    double cell_m = 1;              ///< side of a cell, in metres of the grid's CRS
    std::vector<ClassBlock> blocks; ///< row by row
};

/// The cells of each block, on the grid and off it.
std::vector<CellRect> rects_of(const ClassGrid& grid);

/// North up in the CRS of the first image, cells on the lines of its cells where they have its
/// size. It covers what all images show, or of that what the widest ring of a structure may reach.
/// Throws: Error{input} where the first image is in degrees, the images show no place in common, or
/// no structure stands there; Error{usage} where structures are wanted and there are none.
ClassGrid plan_grid(const Config& config, const std::vector<ImageRaster>& images);

} // namespace fuelring
