// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "imagery/shadow_rule.hpp"
#include "io/imagery/image_raster.hpp"

#include <vector>

namespace fuelring {

/// The rule for shadows of these images, by what they show in the middle of windows: of 64 at most,
/// in even steps through the list, and of each 64 x 64 cells at most.
/// Throws: as ImageRaster::Reader.
ShadowRule shadow_rule(const std::vector<ImageRaster>& images, const AnalysisGrid& target,
                       const std::vector<CellRect>& windows);

} // namespace fuelring
