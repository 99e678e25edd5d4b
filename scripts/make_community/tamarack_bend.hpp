// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "community.hpp"

#include <filesystem>

namespace community {

inline constexpr int tamarack_width_m = 2000, tamarack_height_m = 1600;

/// The town of the sample data, all of it, without its terrain.
Community plan_tamarack_bend();

/// Writes the sample data into `folder`: GeoPackages, fuel rasters and heights.
void write_tamarack_bend(const std::filesystem::path& folder);

} // namespace community
