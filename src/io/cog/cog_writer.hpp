// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/crs.hpp"

#include <fuelring/grid.hpp>

#include <array>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <limits>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// What a Cloud Optimized GeoTIFF of a run holds. Blocks are 512 x 512 cells.
struct RasterOutSpec {
    std::filesystem::path path; ///< final file, inside the staging folder
    enum class Kind {
        surface,   ///< one Float32 band, nodata NaN, AVERAGE overviews that skip NaN
        fuel_used, ///< two UInt16 bands (share, group), nodata 65535, NEAREST overviews
    } kind = Kind::surface;
    std::vector<std::string> band_names; ///< band descriptions
    std::vector<std::pair<std::string, std::string>> metadata;
    int threads = 1;         ///< of finish(); put() works in the caller's
    bool always_big = false; ///< BigTIFF below 4 GiB too
};

inline constexpr int out_block_cells = 512;
inline constexpr std::uint16_t no_data_16 = 65535; ///< of pairs of UInt16

/// Statistics of the valid cells of one band, of a tile or of many.
struct BandStats {
    std::int64_t count = 0;
    double smallest = std::numeric_limits<double>::infinity();
    double largest = -std::numeric_limits<double>::infinity();
    double mean = 0;
    double squares = 0; ///< sum of squared differences from the mean

    /// Joins two sets of cells. With n = n1 + n2 and step = mean2 - mean1 the mean moves by
    /// step n2 / n, and as squares about any c are squares + n_i (mean_i - c)^2, those of the two
    /// grow by step^2 n1 n2 / n. The last bits depend on the order: tiles join in raster order.
    /// Source: Chan, Golub and LeVeque 1979, Stanford University, report CS-TR-79-773.
    void join(const BandStats& other);
    double deviation() const; ///< of the population, as GDAL's statistics
};

/// What is known of a block beside its packed bytes.
struct PackedBlockFacts {
    std::uint32_t checksum = 0;        ///< of the cells as they were put
    std::uint32_t packed_checksum = 0; ///< of the packed bytes
    std::array<BandStats, 2> stats{};

    /// Whether `packed` are the bytes that these facts are of.
    bool fit(std::span<const std::byte> packed) const;
};

/// What is known of a tile of an overview beside its packed bytes.
struct OverviewFacts {
    int level = 0; ///< from 1: half the cells of the raster
    std::int64_t row = 0;
    std::int64_t col = 0;
    std::uint32_t checksum = 0; ///< of the cells
    std::uint32_t packed_checksum = 0;
    bool kept = false; ///< taken over from an earlier file; the next run need not know
};

class KeptOverviews;

/// Writes a COG block by block in any order from several threads with memory that does not grow
/// with the raster. Blocks never put stay sparse (nodata).
/// Law: the file's bytes depend on the blocks alone, not on their order or on threads.
/// Source of the layout: OGC 21-026 (COG 1.0), with GDAL's note for readers (tiff_container.cpp).
class RasterOut {
public:
    /// Throws: Error{output} where the raster has more columns or rows than a GeoTIFF can, or the
    /// file for finished tiles cannot be made.
    RasterOut(const RasterOutSpec& spec, const Grid& grid, const Crs& crs);
    ~RasterOut(); ///< without finish(): removes what was written

    /// Block (block_col, block_row), row by row, 512 x 512 values; cells beyond the raster's edge
    /// are ignored. Thread-safe; each block at most once. Blocks without a valid cell stay sparse.
    /// Throws: Error{output}.
    /// Throws also: std::logic_error for a block off the raster, of another size or kind, or stored
    /// before.
    void put(std::int64_t block_col, std::int64_t block_row, std::span<const float> values);
    void put(std::int64_t block_col, std::int64_t block_row, std::span<const std::uint16_t> band1,
             std::span<const std::uint16_t> band2);

    /// Facts of a block that was put; none where it stays sparse. Thread-safe.
    std::optional<PackedBlockFacts> facts(std::int64_t block_col, std::int64_t block_row) const;
    /// The packed bytes of a block that has facts. Throws: Error{output}.
    /// Requires: facts() has some. Thread-safe.
    void packed(std::int64_t block_col, std::int64_t block_row,
                std::vector<std::byte>& bytes) const;
    /// A block as another process packed it, with its facts of then. Thread-safe. The bytes are
    /// taken as they are; finish() unpacks them for the overview above.
    void put_packed(std::int64_t block_col, std::int64_t block_row,
                    std::span<const std::byte> packed, const PackedBlockFacts& facts);
    /// The same for a block as it lies in the file of an earlier run, whose finish() unpacked it:
    /// where nothing changed beside it either, the overview above is taken over, too.
    /// Requires: facts.fit(packed).
    void put_kept(std::int64_t block_col, std::int64_t block_row, std::span<const std::byte> packed,
                  const PackedBlockFacts& facts);

    /// Overviews, statistics, the file itself; fsync; then the file is opened again from disk and
    /// every block compared with what was put. Throws: Error{output} naming file and reason.
    /// Once, after the last put(), by one thread; it starts `threads` of its own.
    /// `earlier`: the overviews of the file from which blocks were kept. A tile of an overview is
    /// taken over from there where that file has the same four tiles below it.
    void finish(const KeptOverviews* earlier = nullptr);

    /// The tiles of all overviews, by level, row and column. After finish().
    std::vector<OverviewFacts> overviews() const;

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

} // namespace fuelring
