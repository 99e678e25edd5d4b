// SPDX-License-Identifier: Apache-2.0
#include "run/inputs/elevation_input.hpp"

#include <fmt/format.h>

namespace fuelring {

std::unique_ptr<ElevationRaster> open_elevation(const ElevationSource& source,
                                                const AnalysisGrid& analysis, Inputs& inputs,
                                                Log& log)
{
    auto raster = std::make_unique<ElevationRaster>(source, analysis);
    log.detail(fmt::format("elevation: {} ({})", source.path, raster->description()));
    inputs.layers.push_back(raster->layer_crs());
    const HeightUnitFound& unit = raster->unit();
    const std::string said = fmt::format("heights in {} ({})", name_of(unit.unit), unit.reason);
    if (unit.assumed)
        inputs.warnings.push_back(
            {"height_unit", said + ": set inputs.elevation.unit if that is wrong", 1, {}});
    else
        log.detail(said);
    return raster;
}

} // namespace fuelring
