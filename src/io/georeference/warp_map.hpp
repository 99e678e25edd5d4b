// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/reprojection.hpp"
#include "io/georeference/analysis_grid.hpp"

#include <cstdint>
#include <vector>

namespace fuelring {

/// A cell of the raster as its file has it; col is -1 off the raster.
/// Counted from the raster's corner, 0 first.
struct SourceCell {
    std::int64_t col = -1;
    std::int64_t row = -1;

    bool exists() const { return col >= 0; }
};

/// Which cell of the file each cell of a warped grid shows: the one that holds its middle.
/// PROJ places the corners of squares of 16 x 16 cells, counted from the grid's own corner, and
/// inside a square places are interpolated. So the answer for a cell does not depend on the window
/// asked for; and the middle is off by at most (16 cells)^2 x tan(latitude) / (4 x radius of the
/// earth): 2e-5 of a cell of 1 m, 5e-4 of one of 30 m at 60 degrees. Not for several threads.
class WarpMap {
public:
    /// Requires: plan.warped(). Throws: Error{input} when PROJ knows no way.
    explicit WarpMap(const AnalysisPlan& plan);

    /// Cells of the file for the cells of `rect` of the warped grid, row by row; good until the
    /// next call.
    /// Shape: rect.cols x rect.rows; none for an empty `rect`, which may reach beyond the grid.
    const std::vector<SourceCell>& locate(const CellRect& rect);

private:
    void place_nodes(const CellRect& rect);
    SourceCell cell_at(Point place) const;

    Grid grid_;
    SourceGrid source_;
    Reprojection to_source_;
    std::vector<Point> nodes_; ///< corners of squares, in columns and rows of the file
    std::vector<SourceCell> cells_;
};

} // namespace fuelring
