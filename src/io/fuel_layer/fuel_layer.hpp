// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "base/warnings.hpp"
#include "geometry/partition/lattice.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "io/georeference/layer_crs.hpp"

#include <cstdint>
#include <limits>
#include <string>
#include <vector>

namespace fuelring {

/// What a cell holds that polygons leave unmapped. No code is as low.
inline constexpr std::int64_t no_fuel_value = std::numeric_limits<std::int64_t>::min();

/// The ground of one polygon: what of it no earlier polygon has.
struct FuelGround {
    std::int64_t value = 0;            ///< class code, or share in ten-thousandths
    CellRect cells;                    ///< that it may touch
    std::vector<LatticeSegment> lines; ///< in no order, from the corner of cell (0, 0); ground to
                                       ///< the left of a -> b
};

/// A layer of polygons with a class code or a share of conifers each, that stands for a fuel
/// raster. Polygons are held in memory, 64 bytes a vertex; for any number of threads.
///
///     const FuelLayer layer{source, study};
///     FuelBurner burner{layer};       // one for each thread
///     burner.burn(rect, values);
class FuelLayer {
public:
    /// Reads the layer twice: where it lies, then its polygons.
    /// Throws: Error{input} naming layer and feature: no polygons, no such column, a value that is
    /// no code or no share (counted as unmapped where source.unknown_codes_are_unmapped), what
    /// plan_fuel_grid refuses. Requires: source.is_layer().
    FuelLayer(const FuelSource& source, const StudyArea& study);

    const AnalysisPlan& plan() const { return plan_; }
    const Grid& grid() const { return plan_.analysis.grid; }
    bool holds_shares() const { return holds_shares_; }
    /// "230 polygons by column code, burnt into 500 x 400 cells of 10 m by exact cover: ...".
    const std::string& description() const { return description_; }
    const LayerCrs& layer_crs() const { return layer_crs_; }
    /// Polygons without area or value, repaired ones, overlaps.
    const Warnings& warnings() const { return warnings_; }
    /// By value, then in the order of the file. Law: no two share ground.
    const std::vector<FuelGround>& grounds() const { return grounds_; }

private:
    AnalysisPlan plan_;
    bool holds_shares_;
    std::string description_;
    LayerCrs layer_crs_;
    Warnings warnings_;
    std::vector<FuelGround> grounds_;
};

} // namespace fuelring
