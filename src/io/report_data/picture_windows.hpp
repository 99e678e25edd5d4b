// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/run_folder/run_folder.hpp"
#include "report/run_picture.hpp"

namespace fuelring {

/// The cells of the raster that a box of the picture's coordinates touches.
CellRect cells_under(const Grid& grid, const RunPicture& picture, const Box& box);

/// The widest ring around what is measured and the other structures that stand on the raster, in
/// the picture's coordinates; not around those off it, which would shrink the picture of the rest.
Box reach_of_picture(const RunPicture& picture, const Grid& grid);
/// The widest ring around all structures: whatever lies beyond has no figure.
Box reach_of_all(const RunPicture& picture);

} // namespace fuelring
