// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// One tag of a TIFF directory: its values as little-endian bytes. For `offsets` the values are
/// 64-bit here and narrowed to 32 where the file is not BigTIFF.
/// Source of the types: TIFF 6.0, section 2; 16 is BigTIFF's.
struct TiffTag {
    enum class Type : std::uint16_t { ascii = 2, u16 = 3, u32 = 4, f64 = 12, offsets = 16 };

    std::uint16_t code = 0;
    Type type = Type::u16;
    std::uint64_t count = 0;
    std::string bytes;

    static TiffTag text(std::uint16_t code, const std::string& value); ///< adds the closing NUL
    static TiffTag u16(std::uint16_t code, const std::vector<std::uint16_t>& values);
    static TiffTag u32(std::uint16_t code, const std::vector<std::uint32_t>& values);
};

/// One picture of a tiled TIFF: the raster itself or an overview.
struct TiffImage {
    std::vector<TiffTag> tags;             ///< all but tile offsets and sizes, in any order
    std::vector<std::uint32_t> tile_sizes; ///< packed bytes, row by row; 0: a sparse tile
};

/// A file laid out as a Cloud Optimized GeoTIFF: what goes in front of the tiles, and where each
/// tile begins.
struct TiffLayout {
    std::string head; ///< header, GDAL's note on the layout, directories
    std::vector<std::vector<std::uint64_t>> tile_offsets; ///< by image and tile; 0: sparse
    bool big = false;                                     ///< BigTIFF
};

/// `images` by falling size, the raster itself first. The tiles follow the head without gaps: the
/// smallest image first, the raster itself last, row by row, each as `framed_tile`.
/// BigTIFF where the file would pass 4 GiB, or where `always_big`.
/// Shape: tile_offsets[k][t] is where tile t of images[k] begins, in bytes from the file's start.
/// Law: the head does not change in size with the offsets in it. Pure.
TiffLayout tiff_layout(const std::vector<TiffImage>& images, bool always_big);

/// Bytes a tile takes in the file; tile_offsets point behind the first 4 of them.
constexpr std::uint64_t framed_size(std::uint32_t packed)
{
    return packed == 0 ? 0 : packed + 8U;
}

/// Appends a tile as GDAL's layout note promises: size as UInt32, the bytes, the last 4 again.
/// Requires: at least 4 bytes.
void append_framed(std::string& to, const char* packed, std::uint32_t size);

} // namespace fuelring
