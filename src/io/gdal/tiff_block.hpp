// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/handles.hpp"

#include <cstdint>

namespace fuelring {

/// Where a block of a TIFF lies, in bytes of the file. Both are 0 where the block is not stored
/// (all nodata), or the file is no TIFF.
struct TiffBlock {
    std::uint64_t offset = 0;
    std::uint64_t size = 0;
};

/// As the file's directory says; nothing of it is proved.
TiffBlock tiff_block(GDALRasterBandH band, std::int64_t col, std::int64_t row);

} // namespace fuelring
