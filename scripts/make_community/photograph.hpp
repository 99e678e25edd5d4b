// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "tools/paint.hpp"

#include <filesystem>

namespace community {

/// An invented flight over the middle of the town: `photo_leaf_on.tif` (blue, green, red, near
/// infrared), `photo_leaf_off.tif` (red, near infrared), `canopy_height.tif` and `training.gpkg`,
/// squares of 1 and 3 m whose group is known. `cover` is the fuel raster of the whole town. Bands
/// have noise, shadows, and cars on the roads; 0 is no data.
void write_photographs(const std::filesystem::path& folder, const Canvas& cover);

} // namespace community
