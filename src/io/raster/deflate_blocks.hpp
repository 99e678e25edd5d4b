// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/handles.hpp"

#include <fuelring/error.hpp>
#include <fuelring/grid.hpp>

#include <libdeflate.h>

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <unordered_set>
#include <vector>

namespace fuelring {

/// The complaint about cells of a file that cannot be read.
/// Columns and rows of the message are counted from 0.
Error unreadable_cells(const CellRect& cells, const std::string& reason, const std::string& path);

/// The blocks of a GeoTIFF's band that DEFLATE packed, each proved once before it is read. Every
/// one ends with the Adler-32 checksum of its bytes (RFC 1950, 2.2), which GDAL 3.6 does not look
/// at where a damaged block unpacks to more bytes than its cells take: it then takes the block for
/// whole, and the cells that were not unpacked for what memory held.
/// For one thread. Costs one unpacking more for each block, once; memory holds one block, packed
/// and unpacked.
/// Source: TIFF 6.0, sections 3 (strips) and 15 (tiles); RFC 1950 and 1951.
class DeflateBlocks {
public:
    /// Null where the band is of another format, packed otherwise, or not packed.
    /// Throws: Error{input} where a block takes more than 64 MiB unpacked, or the file cannot be
    /// opened again.
    static std::unique_ptr<DeflateBlocks> of(GDALRasterBandH band, const std::string& path);

    /// Proves those blocks under a window of the band that were not proved before.
    /// Throws: Error{input}: a block does not unpack to exactly its cells, or against its checksum.
    /// Requires: the window lies on the raster.
    void prove(const CellRect& window);

private:
    DeflateBlocks(GDALRasterBandH band, const std::string& path);
    /// Column and row count blocks.
    void prove_block(std::int64_t col, std::int64_t row);
    /// Fills packed_ from the file; false where it ends before.
    bool load(std::uint64_t offset, std::uint64_t size);
    /// Whether packed_ unpacks to exactly so many bytes, with the checksum that follows them.
    bool unpacks_to(std::size_t bytes);
    /// Bytes that `rows` rows of a block unpack to.
    std::size_t bytes_of(std::int64_t rows) const;

    GDALRasterBandH band_;
    std::string path_;
    VsiFilePtr file_;
    std::unique_ptr<libdeflate_decompressor, ClosedBy<libdeflate_free_decompressor>> unpack_;
    CellRect block_;             ///< the first one: all of a size, strips but for the last
    std::int64_t bits_per_cell_; ///< of all bands that are packed together
    bool may_be_strips_;         ///< as wide as the raster; the last one ends with it
    bool may_be_tiles_; ///< multiples of 16 (TIFF 6.0, section 15); all have all their cells
    std::unordered_set<std::int64_t> proved_; ///< row * blocks in a row + column
    std::vector<std::byte> packed_, unpacked_;
};

} // namespace fuelring
