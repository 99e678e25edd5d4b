// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/georeference/ground_scale.hpp"

#include <fuelring/grid.hpp>

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>

namespace fuelring {

/// A raster where its file puts it: any CRS with an ellipsoid, turned or sheared.
struct SourceGrid {
    Crs crs;
    std::array<double, 6> geotransform{}; ///< as GDAL has it
    std::int64_t cols = 0;
    std::int64_t rows = 0;
};

/// Which part of the raster a run looks at.
struct StudyArea {
    /// The box, in `crs`, of the structures that meet the box `raster`. Asked for only where the
    /// whole raster gives no answer. The whole raster is the study area where this is empty.
    std::function<Box(const Crs& crs, const Box& raster, const GeoArea& area)> structures{};
    /// The degrees of these structures, which operations are chosen for. The raster's own where
    /// this is empty.
    std::function<GeoArea(const Crs& crs, const Box& raster)> area{};
    double reach_m = 0; ///< the widest ring
};

/// How figures of the grid become figures of the ground.
enum class GroundRule {
    grid_stands, ///< every distance is within 0.1 per cent: taken as it is
    scaled,      ///< at right angles within 0.1 per cent: by the scale at each structure
    warped,      ///< anything else: nearest neighbour to a local transverse Mercator grid
};
const char* name_of(GroundRule rule); ///< "grid_stands", ... for run.json

/// The grid that a run works on.
/// Unit of `crs`: metres or feet as it has them; `ground` makes metres of the ground of them.
struct AnalysisGrid {
    Grid grid;
    Crs crs;
    GroundScale ground{};
    /// Where the community lies: operations from and to `crs` are chosen for it.
    std::optional<GeoArea> area{};
};

/// What was decided about the raster's grid, and why. Depends on the raster, the structures and
/// the widest ring; never on threads or tiles.
struct AnalysisPlan {
    AnalysisGrid analysis;
    GroundRule rule = GroundRule::grid_stands;
    SourceGrid source;
    MapScale source_scale; ///< of the raster's own CRS over the study area
    std::string decision;  ///< in words, with the numbers

    bool warped() const { return rule == GroundRule::warped; }
};

/// Warped grids stand north up around the study area and the widest ring, in a transverse Mercator
/// of scale 1 on the datum of the raster, centred on the study area to a ten-thousandth of a
/// degree. Their cells are squares of the ground area of the source's; those of a raster in degrees
/// have its width and height on the ground and lie on top of its cells in the middle of the study
/// area. Throws: Error{input}, without a place where the raster is to blame: a CRS without an
/// ellipsoid, cells without area, structures where the CRS has no ground, or so far apart that the
/// warped grid would be absurd.
AnalysisPlan plan_analysis(const SourceGrid& source, const StudyArea& study);
/// The same; `path` is the place where the raster is to blame.
AnalysisPlan plan_analysis(const SourceGrid& source, const StudyArea& study,
                           const std::string& path);

} // namespace fuelring
