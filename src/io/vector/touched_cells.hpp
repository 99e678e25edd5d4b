// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "io/gdal/handles.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "io/georeference/layer_crs.hpp"

#include <cstdint>
#include <mutex>
#include <span>
#include <string>
#include <vector>

namespace fuelring {

/// Tells which cells the shapes of a layer touch: polygons, lines or points.
/// Shapes are kept in memory, in units of cells. Curves are made straight, heights dropped.
class TouchedCells {
public:
    /// `key` as VectorLayer's. Throws: Error{input} naming layer and feature.
    TouchedCells(const std::string& key, const LayerSource& source, const AnalysisGrid& analysis);

    const LayerCrs& layer_crs() const
    {
        return layer_crs_;
    } ///< how they came into the analysis CRS
    /// Sets the marks of the cells of `rect` that a shape touches to 1, row by row; the others
    /// stay. Shape: marks has rect.cols x rect.rows values. From any thread. Throws: Error{input}
    /// with GDAL's reason. Source: ALL_TOUCHED of GDALRasterizeGeometries.
    void mark(const CellRect& rect, std::span<std::uint8_t> marks) const;

private:
    struct Shape {
        GeometryPtr geometry; ///< x the column, y the row
        Box box;
    };
    std::vector<Shape> shapes_;
    std::string path_;
    LayerCrs layer_crs_;
    mutable std::mutex guard_; ///< OGR's geometries say nothing of threads
};

} // namespace fuelring
