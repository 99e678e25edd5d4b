// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "io/georeference/layer_crs.hpp"
#include "raster/fuel_corrections.hpp"

#include <cstdint>
#include <map>
#include <span>
#include <utility>
#include <vector>

namespace fuelring {

/// Roads as straight pieces, found by where they are. For any thread once it is made.
/// Distances are metres of the ground, by the scale where they are asked for.
class RoadNetwork {
public:
    /// Reads [inputs.roads]. `analysis` must outlive it.
    /// Throws: Error{input} naming layer and feature; where the layer has no lines.
    RoadNetwork(const LayerSource& roads, const AnalysisGrid& analysis);

    const LayerCrs& layer_crs() const { return crs_; }

    /// From the cells of some runs to the nearest road; 0 where one crosses a cell.
    /// Requires: there are runs.
    double distance_m(const std::vector<CellRun>& runs) const;

    /// Sets within[k] to 1 for cells whose centre is at most so far from a road, else to 0.
    /// Shape: a number for each cell of `cells`, by row and column.
    void mark_within(const CellRect& cells, double distance_m,
                     std::span<std::uint8_t> within) const;

private:
    struct Piece {
        Point from; ///< units of the grid from the corner of cell (0, 0)
        Point to;
    };
    using Square = std::pair<std::int64_t, std::int64_t>;

    void add(Point from, Point to);
    /// Of pieces that may come within `reach` units of a box: rising numbers, each once.
    std::vector<std::uint32_t> near(const Box& box, double reach) const;
    /// Units of the grid in a metre of the ground, in the middle of some cells.
    double units_per_metre(const CellRect& cells) const;
    Box box_of(const CellRect& cells) const;

    const AnalysisGrid& analysis_;
    double cell_width_, cell_height_;
    double side_; ///< of the squares in which pieces are found, and the length of the longest
    std::vector<Piece> pieces_;
    std::map<Square, std::vector<std::uint32_t>> squares_;
    Box extent_ = Box::nothing();
    LayerCrs crs_;
};

} // namespace fuelring
