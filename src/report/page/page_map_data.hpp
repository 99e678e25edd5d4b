// SPDX-License-Identifier: Apache-2.0

// Rasters and places in the block of data: what the map is drawn from, and drawn areas measured by.
#pragma once

#include "report/page/page_parts.hpp"

#include <nlohmann/json.hpp>

namespace fuelring {

/// The priority surface as a picture, with its classes by name, and unmapped ground.
nlohmann::json surface_json(const PageParts& parts);
/// The town's own picture, where it lies and whose it is; null without one.
nlohmann::json backdrop_json(const PageParts& parts);
/// Squares of the rasters, and where they lie on the page's plane (metres).
nlohmann::json ground_json(const PageParts& parts);
/// Longitudes and latitudes of a pattern over the page's plane; null where they are not known.
nlohmann::json degrees_json(const RunPicture& picture);

} // namespace fuelring
