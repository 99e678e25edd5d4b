// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/handles.hpp"

#include <fmt/format.h>

#include <cstdint>
#include <cstdlib>
#include <string>

namespace fuelring {

/// Where a block of a TIFF lies, in bytes of the file. Both are 0 where the block is not stored
/// (all nodata), or the file is no TIFF.
struct TiffBlock {
    std::uint64_t offset = 0;
    std::uint64_t size = 0;
};

/// As the file's directory says; nothing of it is proved.
/// `col` and `row` count blocks from 0. Source: the metadata domain TIFF of GDAL's GTiff driver.
inline TiffBlock tiff_block(GDALRasterBandH band, std::int64_t col, std::int64_t row)
{
    const auto number = [&](const char* what) -> std::uint64_t {
        const std::string item = fmt::format("BLOCK_{}_{}_{}", what, col, row);
        const char* text = GDALGetMetadataItem(band, item.c_str(), "TIFF");
        return text ? std::strtoull(text, nullptr, 10) : 0;
    };
    return {number("OFFSET"), number("SIZE")};
}

} // namespace fuelring
