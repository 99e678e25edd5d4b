// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/raster/raster_files.hpp"

#include <cstddef>
#include <cstdint>
#include <memory>
#include <vector>

namespace fuelring {

/// Reads windows of tiles as if they were one raster. Where tiles overlap, the one that is named
/// later lies on top; its cells without data (nodata, hidden by a mask) let the earlier ones show.
/// Law: what is read depends on the tiles and their order alone, not on the window.
/// For one thread; at most so many tiles are open at a time, whatever their number.
class MosaicReader {
public:
    /// Each takes a file descriptor and about a megabyte, for every band and worker.
    static constexpr std::size_t most_open = 12;

    /// Opens the first tile. `place` must outlive the reader. Throws: Error{input} where it is not
    /// the one that was looked at.
    explicit MosaicReader(const RasterPlace& place);
    ~MosaicReader();

    /// The band of the first tile, which has the type and the nodata value of all.
    GDALRasterBandH band() const;
    /// As BandReader::read. Cells of no tile become 0: the mask tells them.
    void read(const CellRect& rect, void* into, GDALDataType type);
    /// 255 where a tile has data, 0 elsewhere.
    void read_mask(const CellRect& rect, std::uint8_t* into);

private:
    struct Tile;
    Tile& open(std::size_t k);
    /// Calls visit(tile, part, on_top) for each tile that meets a window, in order; `part` is in
    /// cells of the mosaic.
    template <typename Visit>
    void for_each_tile(const CellRect& rect, Visit&& visit);

    const RasterPlace& place_;
    std::vector<std::unique_ptr<Tile>> open_; ///< by number; null where it is closed
    std::vector<std::size_t> recent_;         ///< open tiles but for the first, the latest last
    std::vector<std::byte> cells_;
    std::vector<std::uint8_t> visible_;
};

} // namespace fuelring
