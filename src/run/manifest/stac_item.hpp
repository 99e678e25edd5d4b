// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/georeference/analysis_grid.hpp"

#include <nlohmann/json_fwd.hpp>

#include <string>

namespace fuelring {

/// "stac_item.json".
extern const char* const stac_item_file;

/// Both rasters of a run as a STAC item of version 1.0.0 with the projection extension 1.1.0: where
/// they lie in WGS 84 and in their own system, the day of the imagery, files beside the item.
/// Without a place where an edge of the grid has no longitude and latitude.
/// Depends on its arguments alone. Requires: `date` is a day, 2026-07-15.
/// Source: STAC specification 1.0.0, item-spec; projection extension 1.1.0.
nlohmann::json stac_item(const std::string& community, const std::string& date,
                         const AnalysisGrid& analysis);

} // namespace fuelring
