// SPDX-License-Identifier: Apache-2.0
#include "io/gdal/tiff_block.hpp"

#include <fmt/format.h>

#include <cstdlib>
#include <string>

namespace fuelring {

TiffBlock tiff_block(GDALRasterBandH band, std::int64_t col, std::int64_t row)
{
    const auto number = [&](const char* what) -> std::uint64_t {
        const std::string item = fmt::format("BLOCK_{}_{}_{}", what, col, row);
        const char* text = GDALGetMetadataItem(band, item.c_str(), "TIFF");
        return text ? std::strtoull(text, nullptr, 10) : 0;
    };
    return {number("OFFSET"), number("SIZE")};
}

} // namespace fuelring
