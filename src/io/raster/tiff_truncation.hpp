// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/handles.hpp"

#include <string>

namespace fuelring {

/// A local GeoTIFF whose blocks end beyond the end of the file was cut short. GDAL opens it and
/// fails at the blocks that are missing, which may be ones that no run reads until later.
/// Other formats and files elsewhere are left to their readers. Throws: Error{input}.
void require_whole_tiff(GDALDatasetH file, GDALRasterBandH band, const std::string& path);

} // namespace fuelring
