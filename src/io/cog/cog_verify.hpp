// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/cog/cog_writer.hpp"
#include "io/cog/tile_store.hpp"

#include <map>
#include <vector>

namespace fuelring {

/// Cells of one level of a raster: columns and rows.
/// Tiles at the right and lower edges hang over; their cells beyond it are nodata.
struct LevelSize {
    std::int64_t cols = 0;
    std::int64_t rows = 0;
    std::int64_t tile_cols() const { return (cols + tile_side - 1) / tile_side; }
    std::int64_t tile_rows() const { return (rows + tile_side - 1) / tile_side; }
};

/// Opens the finished file with GDAL, which had no part in writing it, and compares layout, sizes,
/// place and every stored tile of every level with what was put, by their checksums.
/// Throws: Error{output} naming the file and the first tile that differs.
/// The place may be off by a millionth of a cell.
void require_readable(const RasterOutSpec& spec, const Grid& grid,
                      const std::vector<LevelSize>& levels,
                      const std::map<TileKey, TileRecord>& tiles);

} // namespace fuelring
