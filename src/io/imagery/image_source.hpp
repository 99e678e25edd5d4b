// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "imagery/band_role.hpp"

#include <string>

namespace fuelring {

/// An image of the configuration: one file, or tiles that are one raster together.
struct ImageSource {
    RasterFiles files;
    ImageBands bands;   ///< of each file, in order
    std::string key;    ///< for messages: "imagery.images[1]"
    std::string date{}; ///< as the user writes it
    std::string crs{};  ///< only if the files have none
};

/// Places whose group is known: a layer of polygons or points.
struct TrainingSource : LayerSource {
    std::string group{}; ///< column
    std::string block{}; ///< column of what is held out together; empty: by place
};

} // namespace fuelring
