// SPDX-License-Identifier: Apache-2.0

// A block is proved by unpacking it once with a library that fails unless the bytes, their number
// and the checksum are all right. The number is known from the size of the block; only the last
// strip of a raster may be shorter, and whether blocks are strips or tiles GDAL does not tell. So a
// size that could be either is tried as both.
#include "io/raster/deflate_blocks.hpp"

#include "io/gdal/errors.hpp"
#include "io/gdal/tiff_block.hpp"
#include "io/raster/raster_input.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <cstring>
#include <new>

namespace fuelring {

namespace {

constexpr std::size_t most_bytes = 64 << 20; ///< of a block, as in require_sane_band

bool says(GDALMajorObjectH of, const char* item, const char* text)
{
    const char* found = GDALGetMetadataItem(of, item, "IMAGE_STRUCTURE");
    return found && std::strcmp(found, text) == 0;
}

/// GDAL shows a high raster that is one strip as blocks of a row each.
bool is_one_strip(GDALRasterBandH band, std::int64_t rows)
{
    if (tiff_block(band, 0, 0).offset == 0)
        return false;
    for (std::int64_t row = 1; row < rows; ++row)
        if (tiff_block(band, 0, row).offset != 0)
            return false;
    return true;
}

CellRect first_block(GDALRasterBandH band)
{
    CellRect block = block_of(band);
    const int rows = GDALGetRasterBandYSize(band);
    if (block.rows == 1 && is_one_strip(band, rows))
        block.rows = rows;
    return block;
}

std::int64_t bits_per_cell(GDALRasterBandH band)
{
    const char* packed = GDALGetMetadataItem(band, "NBITS", "IMAGE_STRUCTURE");
    const std::int64_t bits = packed ? std::strtoll(packed, nullptr, 10)
                                     : GDALGetDataTypeSizeBits(GDALGetRasterDataType(band));
    GDALDatasetH file = GDALGetBandDataset(band);
    return says(file, "INTERLEAVE", "PIXEL") ? bits * GDALGetRasterCount(file) : bits;
}

} // namespace

Error unreadable_cells(const CellRect& cells, const std::string& reason, const std::string& path)
{
    return {Failure::input,
            fmt::format("columns {} to {}, rows {} to {} cannot be read: {}", cells.col,
                        cells.col + cells.cols - 1, cells.row, cells.row + cells.rows - 1, reason),
            path, "the file may be damaged or cut short: fetch it again"};
}

std::unique_ptr<DeflateBlocks> DeflateBlocks::of(GDALRasterBandH band, const std::string& path)
{
    GDALDatasetH file = GDALGetBandDataset(band); // a mask has one of its own, or none
    if (!file || !says(file, "COMPRESSION", "DEFLATE"))
        return nullptr;
    GDALDriverH driver = GDALGetDatasetDriver(file); // null for a mask within a GeoTIFF
    if (driver && std::strcmp(GDALGetDriverShortName(driver), "GTiff") != 0)
        return nullptr;
    return std::unique_ptr<DeflateBlocks>{new DeflateBlocks{band, path}};
}

DeflateBlocks::DeflateBlocks(GDALRasterBandH band, const std::string& path)
    : band_{band}, path_{path}, unpack_{libdeflate_alloc_decompressor()}, block_{first_block(band)},
      bits_per_cell_{bits_per_cell(band)}, may_be_strips_{block_.cols ==
                                                          GDALGetRasterBandXSize(band)},
      may_be_tiles_{block_.cols % 16 == 0 && block_.rows % 16 == 0}
{
    if (!unpack_)
        throw std::bad_alloc{};
    if (bytes_of(block_.rows) > most_bytes)
        throw Error{Failure::input,
                    fmt::format("its {} rows are packed as one strip of {} MiB; {} is the most",
                                block_.rows, bytes_of(block_.rows) >> 20, most_bytes >> 20),
                    path, "rewrite it with gdal_translate -co TILED=YES -co COMPRESS=DEFLATE"};
    // A mask may lie in a file of its own beside the raster: then that is the file to read.
    const std::string name = GDALGetDescription(GDALGetBandDataset(band));
    if (!name.empty()) // a mask within the file has none
        path_ = name;
    file_.reset(VSIFOpenL(path_.c_str(), "rb"));
    if (!file_)
        throw Error{Failure::input, "the file changed while it was read", path_,
                    "run again when whoever writes it has finished"};
}

std::size_t DeflateBlocks::bytes_of(std::int64_t rows) const
{
    return static_cast<std::size_t>((block_.cols * bits_per_cell_ + 7) / 8 * rows);
}

void DeflateBlocks::prove(const CellRect& window)
{
    const std::int64_t in_a_row = (GDALGetRasterBandXSize(band_) + block_.cols - 1) / block_.cols;
    for (std::int64_t row = window.row / block_.rows; row * block_.rows < window.row + window.rows;
         ++row)
        for (std::int64_t col = window.col / block_.cols;
             col * block_.cols < window.col + window.cols; ++col)
            if (!proved_.contains(row * in_a_row + col)) {
                prove_block(col, row);
                proved_.insert(row * in_a_row + col);
            }
}

void DeflateBlocks::prove_block(std::int64_t col, std::int64_t row)
{
    const auto [offset, size] = tiff_block(band_, col, row);
    if (offset == 0) // not stored: all nodata
        return;
    const std::int64_t rows = GDALGetRasterBandYSize(band_);
    const std::int64_t rows_left = std::min(block_.rows, rows - row * block_.rows);
    std::string reason;
    if (size > 2 * bytes_of(block_.rows) + 1024) // far above what DEFLATE makes of noise
        reason = fmt::format("their block is damaged, it claims {} bytes", size);
    else if (!load(offset, size))
        reason = gdal_reason(fmt::format("the {} bytes of their block are not all there", size));
    else if (!(may_be_strips_ && unpacks_to(bytes_of(rows_left))) &&
             !((may_be_tiles_ || !may_be_strips_) && unpacks_to(bytes_of(block_.rows))))
        reason = fmt::format("their block of {} bytes is damaged, it does not unpack to its cells "
                             "and checksum",
                             size);
    if (!reason.empty())
        throw unreadable_cells(
            {col * block_.cols, row * block_.rows,
             std::min(block_.cols, GDALGetRasterBandXSize(band_) - col * block_.cols), rows_left},
            reason, path_);
}

bool DeflateBlocks::load(std::uint64_t offset, std::uint64_t size)
{
    CPLErrorReset();
    packed_.resize(size);
    return VSIFSeekL(file_.get(), offset, SEEK_SET) == 0 &&
           VSIFReadL(packed_.data(), 1, packed_.size(), file_.get()) == packed_.size();
}

bool DeflateBlocks::unpacks_to(std::size_t bytes)
{
    unpacked_.resize(bytes);
    return libdeflate_zlib_decompress(unpack_.get(), packed_.data(), packed_.size(),
                                      unpacked_.data(), unpacked_.size(),
                                      nullptr) == // nullptr: exactly as many, or it fails
           LIBDEFLATE_SUCCESS;
}

} // namespace fuelring
