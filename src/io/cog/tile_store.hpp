// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/closed_by.hpp"
#include "base/unique_fd.hpp"
#include "io/cog/cog_pixels.hpp"
#include "io/cog/word_packer.hpp"

#include <libdeflate.h>

#include <array>
#include <compare>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <span>
#include <vector>

namespace fuelring {

/// Where a tile stands: level 0 is the raster itself, level n + 1 has half the cells of level n.
/// The order is that of the walk through a file: level, row, column.
struct TileKey {
    int level = 0;
    std::int64_t row = 0;
    std::int64_t col = 0;
    friend auto operator<=>(const TileKey&, const TileKey&) = default; // NOLINT: not a null pointer
};

/// A packed tile in the spill file, and what is needed to judge it later.
struct TileRecord {
    std::uint64_t at = 0;              ///< in the spill file
    std::uint32_t size = 0;            ///< packed bytes
    std::uint32_t checksum = 0;        ///< of the words as they were put
    std::uint32_t packed_checksum = 0; ///< of the packed bytes
    std::array<BandStats, 2> stats;    ///< level 0 only
    bool kept = false; ///< these very bytes lie in the file of an earlier run, which proved them
};

/// CRC-32, by which tiles are compared with what was put.
/// The polynomial of zlib and gzip (RFC 1952), by libdeflate.
std::uint32_t checksum_of(std::span<const std::byte> bytes);
std::uint32_t checksum_of(ConstTileWords tile);

/// Fills `into` from that offset of a file. Returns 0, or the errno: EIO where the file ends
/// before.
int read_at(int fd, std::uint64_t offset, std::span<std::byte> into);

/// Buffers and codec state of one thread at work on a tile.
class TileCodec {
public:
    TileCodec();

    /// A zlib stream (TIFF's "Adobe deflate", whose Adler-32 tells most damage); valid until the
    /// next call.
    /// Law: the same tile gives the same bytes. Source: RFC 1950 and 1951.
    std::span<const std::byte> pack(ConstTileWords tile);
    /// False when the bytes are not a packed tile.
    bool unpack(std::span<const std::byte> packed, TileWords tile);

    std::vector<std::byte>& bytes() { return bytes_; }                   ///< scratch
    TileWords words() { return TileWords{words_.data(), tile_cells}; }   ///< scratch
    TileWords parent() { return TileWords{parent_.data(), tile_cells}; } ///< scratch

private:
    std::vector<std::uint32_t> words_;
    std::vector<std::uint32_t> parent_;
    std::vector<std::byte> bytes_;
    std::vector<std::byte> packed_;
    WordPacker packer_{static_cast<std::size_t>(tile_side)};
    std::unique_ptr<libdeflate_decompressor, ClosedBy<libdeflate_free_decompressor>> unpack_;
};

/// Packed tiles in an unlinked file beside the output: memory holds one small record a tile, and
/// nothing is left behind even by a kill. Calls may come from several threads.
class TileSpill {
public:
    /// Throws: Error{output}.
    explicit TileSpill(const std::filesystem::path& beside);

    /// Keeps a tile. Throws: Error{output}; std::logic_error when the tile is there already.
    /// `record` brings checksum and stats; the other members are filled in here.
    void store(const TileKey& key, std::span<const std::byte> packed, TileRecord record);
    /// The packed bytes of a tile. Throws: Error{output}.
    void load(const TileRecord& record, std::vector<std::byte>& packed) const;
    /// The words of a tile, compared with what was put. Throws: Error{output}.
    void load(const TileRecord& record, TileCodec& codec, TileWords tile) const;

    /// The record of a tile, where there is one. While others store, too.
    std::optional<TileRecord> find(const TileKey& key) const;

    /// All tiles by level, row, column. Not while others store.
    const std::map<TileKey, TileRecord>& tiles() const { return tiles_; }

private:
    std::filesystem::path beside_;
    UniqueFd fd_;
    mutable std::mutex guard_;
    std::uint64_t end_ = 0;
    std::map<TileKey, TileRecord> tiles_;
};

} // namespace fuelring
