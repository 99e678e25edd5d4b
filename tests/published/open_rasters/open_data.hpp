// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <optional>

namespace fuelring::test {

/// The folder with lc.tif, grain.tif, buildings.gpkg and elev.tif, fetched once into the build
/// folder by scripts/fetch_open_rasters. Empty, and SKIPPED said with the reason, where that cannot
/// be done; fails the test where the data is not what it should be.
std::optional<std::filesystem::path> open_data();

} // namespace fuelring::test
