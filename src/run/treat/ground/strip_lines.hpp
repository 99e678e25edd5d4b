// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/geos.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "io/georeference/layer_crs.hpp"
#include "run/config/treat_config.hpp"

#include <cstdint>
#include <vector>

namespace fuelring {

/// A piece of the ground along a line, across the whole width of the strip.
struct SliceGround {
    std::uint32_t line = 0;
    double length_m = 0;            ///< along the line
    std::vector<RawPolygon> ground; ///< units of the grid from the corner of cell (0, 0)
};

/// Lines of a layer, cut into slices.
struct StripLayer {
    std::vector<SliceGround> slices; ///< by line, from its beginning on; no two overlap
    LayerCrs crs;                    ///< how they came into the analysis CRS
};

/// Cuts each line into slices of equal length, a tenth of the least length of a strip or a little
/// less, and widens them to the width. Where lines cross or turn back, the earlier slice has the
/// ground. Lengths and widths are metres of the ground, by the scale in the middle of the line.
/// Throws: Error{input} naming layer and feature; where there is no line.
StripLayer read_strip_lines(const LayerSource& lines, const StripForm& form,
                            const AnalysisGrid& analysis);

} // namespace fuelring
