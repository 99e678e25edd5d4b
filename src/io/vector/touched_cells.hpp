// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/georeference/analysis_grid.hpp"
#include "io/georeference/layer_crs.hpp"

#include <cstdint>
#include <memory>
#include <span>
#include <string>

namespace fuelring {

/// A layer of any shapes.
struct ShapeLayer {
    std::string key; ///< key of the configuration
    std::string path;
    std::string layer;
    std::string crs;
    bool remote_allowed = false;
};

/// Tells which cells the shapes of a layer touch: polygons, lines or points.
class TouchedCells {
public:
    /// Throws: Error{input} naming layer and feature.
    TouchedCells(const ShapeLayer& source, const AnalysisGrid& analysis);
    ~TouchedCells();

    std::size_t shapes() const;
    const LayerCrs& layer_crs() const; ///< how they came into the analysis CRS
    /// Sets the marks of the cells of `rect` that a shape touches to 1, row by row. From any
    /// thread.
    void mark(const CellRect& rect, std::span<std::uint8_t> marks) const;

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

} // namespace fuelring
