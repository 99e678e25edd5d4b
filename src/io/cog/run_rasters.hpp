// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/unique_fd.hpp"
#include "io/gdal/handles.hpp"
#include "io/gdal/tiff_block.hpp"

#include <fuelring/grid.hpp>

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <mutex>
#include <span>
#include <vector>

namespace fuelring {

/// priority.tif and fuel_used.tif of a run, for one thread.
class RunRasters {
public:
    /// Throws: Error{output} where they are not those of a run on `grid`.
    RunRasters(const std::filesystem::path& priority, const std::filesystem::path& fuel_used,
               const Grid& grid);

    /// Reads a window, row by row. False, and nothing read, where no ring reaches any of it.
    /// Throws: Error{output} with GDAL's reason.
    /// Shape: each span holds rect.cols x rect.rows cells as the files have them: `points` of
    /// priority.tif, NaN where it has no value; both bands of fuel_used.tif, 65535 where it has
    /// none.
    bool read(const CellRect& rect, std::span<float> points, std::span<std::uint16_t> share,
              std::span<std::uint16_t> group);

private:
    DatasetPtr priority_;
    DatasetPtr fuel_used_;
    std::filesystem::path folder_;
};

/// The blocks of a GeoTIFF of an earlier run, packed as they lie in the file. Calls may come from
/// several threads.
class PackedBlocks {
public:
    /// Gives no block where the file cannot be read.
    explicit PackedBlocks(const std::filesystem::path& file);

    /// False where the file has no such block, or it cannot be read, or claims more bytes than a
    /// packed block can have. What comes is not proved: its checksum is in the facts of the block.
    /// `level`: 0 is the raster itself, 1 its first overview.
    bool read(int level, std::int64_t col, std::int64_t row, std::vector<std::byte>& packed);
    /// Whether the file stores such a block; false where it cannot be read.
    bool has(int level, std::int64_t col, std::int64_t row);

private:
    TiffBlock block(int level, std::int64_t col, std::int64_t row);

    std::mutex guard_;
    DatasetPtr file_;
    UniqueFd fd_;
};

} // namespace fuelring
