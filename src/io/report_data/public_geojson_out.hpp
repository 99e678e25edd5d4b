// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/run_folder/run_folder.hpp"
#include "report/neighbourhood_figures.hpp"

#include <filesystem>

namespace fuelring {

/// The rows of `public_figures` that have ground as GeoJSON (RFC 7946: WGS 84, longitude first),
/// for a map on the web; those that were merged are one feature with their common figures. The
/// caution is a property of every feature. Written, fsynced, read back. Throws: Error{output};
/// Error{input} where PROJ gives no finite place.
void write_public_geojson(const std::filesystem::path& path, const RunFolder& run,
                          const RunPicture& picture, const std::vector<NeighbourhoodFigures>& rows);

} // namespace fuelring
