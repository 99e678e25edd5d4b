// SPDX-License-Identifier: Apache-2.0
#include "io/raster/tiff_truncation.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <system_error>

namespace fuelring {

namespace {

constexpr std::int64_t most_blocks = 1 << 20; ///< looked at; beyond, those of the last row

} // namespace

std::uint64_t tiff_block(GDALRasterBandH band, const char* what, std::int64_t col, std::int64_t row)
{
    const std::string item = fmt::format("BLOCK_{}_{}_{}", what, col, row);
    const char* text = GDALGetMetadataItem(band, item.c_str(), "TIFF");
    return text ? std::strtoull(text, nullptr, 10) : 0;
}

void require_whole_tiff(GDALDatasetH file, GDALRasterBandH band, const std::string& path)
{
    std::error_code error;
    const std::uintmax_t size = std::filesystem::file_size(path, error);
    if (error || std::strcmp(GDALGetDriverShortName(GDALGetDatasetDriver(file)), "GTiff") != 0)
        return;
    int width = 0, height = 0;
    GDALGetBlockSize(band, &width, &height);
    const std::int64_t cols = (GDALGetRasterBandXSize(band) + width - 1) / width;
    const std::int64_t rows = (GDALGetRasterBandYSize(band) + height - 1) / height;
    for (std::int64_t row = cols * rows > most_blocks ? rows - 1 : 0; row < rows; ++row)
        for (std::int64_t col = 0; col < cols; ++col) {
            const std::uint64_t start = tiff_block(band, "OFFSET", col, row);
            const std::uint64_t end = start + tiff_block(band, "SIZE", col, row);
            if (start > 0 && end > size)
                throw Error{Failure::input,
                            fmt::format("the file is cut short: it has {} bytes, and its block in "
                                        "column {}, row {} ends at {}",
                                        size, col, row, end),
                            path, "fetch the file again"};
        }
}

} // namespace fuelring
