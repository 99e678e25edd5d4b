// SPDX-License-Identifier: Apache-2.0
#include "io/raster/tiff_truncation.hpp"

#include "io/gdal/tiff_block.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <cstdint>
#include <cstring>
#include <filesystem>
#include <system_error>

namespace fuelring {

namespace {

constexpr std::int64_t most_blocks = 1 << 20; ///< looked at; beyond, those of the last row

} // namespace

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
            const TiffBlock block = tiff_block(band, col, row);
            const std::uint64_t end = block.offset + block.size;
            if (block.offset > 0 && end > size)
                throw Error{Failure::input,
                            fmt::format("the file is cut short: it has {} bytes, and its block in "
                                        "column {}, row {} ends at {}",
                                        size, col, row, end),
                            path, "fetch the file again"};
        }
}

} // namespace fuelring
