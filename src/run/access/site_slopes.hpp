// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/raster/elevation_raster.hpp"
#include "run/inputs/inputs.hpp"

#include <span>

namespace fuelring {

/// Slopes are taken over this length of the ground, or over two cells of heights where these are
/// longer: a stone or a ditch makes no land steep. A planning default.
inline constexpr double slope_base_m = 20;

/// Slopes at the centres of cells of the analysis grid, for one thread.
///
///     slope = 100 * sqrt(((z(x + h) - z(x - h)) / 2h)^2 + ((z(y + h) - z(y - h)) / 2h)^2)
///
/// h: half of the base; x and y: along rows and columns, metres of the ground; z: between the
/// centres of four cells of heights. Law: a plane's slope, to rounding; the same for any rectangle
/// that a cell is asked in.
class SiteSlopes {
public:
    /// Requires: there is an elevation raster; `inputs` outlive it.
    explicit SiteSlopes(const Inputs& inputs);

    /// Per cent, by row and column; NaN where a height is not known.
    /// Shape: `percent` has a number for each cell of `cells`. Throws: Error{input}.
    void of_cells(const CellRect& cells, std::span<float> percent);

private:
    void of_square(const CellRect& square, const CellRect& part, const CellRect& cells,
                   std::span<float> percent);

    const Inputs& inputs_;
    ElevationRaster::Reader reader_;
};

} // namespace fuelring
