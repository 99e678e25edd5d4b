// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/warnings.hpp"
#include "geometry/geos.hpp"
#include "imagery/training_set.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "io/georeference/layer_crs.hpp"
#include "io/imagery/image_source.hpp"
#include "raster/fuel_corrections.hpp"

#include <vector>

namespace fuelring {

/// A training area as the layer has it, on the grid.
struct TrainingShape {
    std::vector<RawPolygon> polygons; ///< in cells of the grid; empty for points
    std::vector<Point> points;        ///< likewise
    std::vector<CellRun> cells;       ///< whose centres it holds; at least one
};

/// The training layer, area by area.
struct TrainingLayer {
    std::vector<TrainingArea> areas;
    std::vector<TrainingShape> shapes; ///< of each area
    LayerCrs crs;
};

/// Finds the cells of a shape, and the middle of its area: of points the cell under each, of
/// polygons those whose centres they hold, or the one under the middle.
/// Requires: a point or a polygon.
void place_shape(TrainingShape& shape, TrainingArea& area);

/// Reads the layer onto the grid. A polygon that holds no cell's centre has the cell under its
/// middle. Throws: Error{input} naming the feature: a group that is none, lines, an empty shape, a
/// place that cannot be reprojected; no area at all.
TrainingLayer read_training(const TrainingSource& source, const AnalysisGrid& target);

} // namespace fuelring
