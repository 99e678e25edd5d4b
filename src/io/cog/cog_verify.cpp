// SPDX-License-Identifier: Apache-2.0

// What proves that the file holds what was put: `TileSpill::load` unpacked every tile once, for
// the overview above it, and compared its words with their checksum. A tile that was kept from an
// earlier run, and is not unpacked for an overview that is kept, too, was unpacked so by that run
// or one before it, which left a checksum of the packed bytes; they were compared with it when they
// were taken. Here the packed bytes of
// every tile are compared with theirs, at the places where GDAL, which had no part in writing
// them, looks for them; and one tile of each level is read by GDAL from end to end.
#include "io/cog/cog_verify.hpp"

#include "base/unique_fd.hpp"
#include "io/gdal/errors.hpp"
#include "io/gdal/open.hpp"
#include "io/gdal/tiff_block.hpp"

#include <fuelring/error.hpp>

#include <fcntl.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

namespace fuelring {

namespace {

using OutKind = RasterOutSpec::Kind;

/// The finished file as GDAL sees it.
class Check {
public:
    Check(const RasterOutSpec& spec, const std::vector<LevelSize>& levels)
        : spec_(spec), levels_(levels), bytes_(::open(spec.path.c_str(), O_RDONLY | O_CLOEXEC)),
          file_(open_own(spec.path, "GTiff"))
    {
        if (!file_ || !bytes_)
            throw differs(errors_.reason());
    }

    void require_head(const Grid& grid) const;
    void require_tiles(const std::map<TileKey, TileRecord>& tiles) const;
    void require_value(const TileKey& key, const TileRecord& record) const;

private:
    Error differs(const std::string& what) const
    {
        return {Failure::output, "the raster on the disk is not what was written: " + what,
                spec_.path.string(), "check the disk, then run again"};
    }
    Error differs(const TileKey& key) const
    {
        return differs(
            fmt::format("level {}, tile row {}, column {}", key.level, key.row, key.col));
    }
    GDALRasterBandH band(int level) const
    {
        GDALRasterBandH first = GDALGetRasterBand(file_.get(), 1);
        return level == 0 ? first : GDALGetOverview(first, level - 1);
    }
    TiffBlock block(const TileKey& key) const
    {
        return tiff_block(band(key.level), key.col, key.row);
    }
    bool same_bytes(const TileKey& key, const TileRecord& record,
                    std::vector<std::byte>& bytes) const;

    const RasterOutSpec& spec_;
    const std::vector<LevelSize>& levels_;
    GdalErrors errors_;
    UniqueFd bytes_;
    DatasetPtr file_;
};

void Check::require_head(const Grid& grid) const
{
    const char* layout = GDALGetMetadataItem(file_.get(), "LAYOUT", "IMAGE_STRUCTURE");
    if (!layout || std::string_view{layout} != "COG")
        throw differs("it is not laid out as a COG");
    std::array<double, 6> place{};
    if (GDALGetGeoTransform(file_.get(), place.data()) != CE_None)
        throw differs("it has no georeference");
    // GeoTIFF keeps scale and tie point, so the numbers are computed again, and may differ in the
    // last bits.
    const double tolerance = 1e-6 * std::max(grid.cell_width_m(), grid.cell_height_m());
    for (std::size_t k = 0; k < place.size(); ++k)
        if (!(std::abs(place[k] - grid.geotransform()[k]) <= tolerance))
            throw differs("it lies elsewhere");
    if (GDALGetOverviewCount(band(0)) != static_cast<int>(levels_.size()) - 1)
        throw differs("overviews are missing");
    for (std::size_t k = 0; k < levels_.size(); ++k) {
        GDALRasterBandH level = band(static_cast<int>(k));
        if (!level || GDALGetRasterBandXSize(level) != levels_[k].cols ||
            GDALGetRasterBandYSize(level) != levels_[k].rows)
            throw differs(fmt::format("level {} has another size", k));
    }
}

bool Check::same_bytes(const TileKey& key, const TileRecord& record,
                       std::vector<std::byte>& bytes) const
{
    const TiffBlock found = block(key);
    if (found.offset == 0 || found.size != record.size)
        return false;
    bytes.resize(record.size);
    return read_at(bytes_.get(), found.offset, bytes) == 0 &&
           checksum_of(bytes) == record.packed_checksum;
}

void Check::require_tiles(const std::map<TileKey, TileRecord>& tiles) const
{
    std::vector<std::byte> bytes;
    auto next = tiles.begin(); // tiles stand in the order of this walk
    for (int level = 0; level < static_cast<int>(levels_.size()); ++level) {
        const LevelSize& size = levels_[static_cast<std::size_t>(level)];
        for (std::int64_t row = 0; row < size.tile_rows(); ++row) {
            for (std::int64_t col = 0; col < size.tile_cols(); ++col) {
                const TileKey key{level, row, col};
                const bool stored = next != tiles.end() && next->first == key;
                if (stored ? !same_bytes(key, next->second, bytes) : block(key).offset != 0)
                    throw differs(key);
                next = stored ? std::next(next) : next;
            }
        }
    }
}

void Check::require_value(const TileKey& key, const TileRecord& record) const
{
    const bool surface = spec_.kind == OutKind::surface;
    const LevelSize& size = levels_[static_cast<std::size_t>(key.level)];
    const std::int64_t left = key.col * tile_side;
    const std::int64_t top = key.row * tile_side;
    const int cols = static_cast<int>(std::min<std::int64_t>(tile_side, size.cols - left));
    const int rows = static_cast<int>(std::min<std::int64_t>(tile_side, size.rows - top));
    // Nodata first: what hangs over the raster's edge is not read, and was put so.
    std::vector<std::uint32_t> words(tile_cells, surface ? nan_word : no_data_word);
    const CPLErr failed = GDALDatasetRasterIO(
        key.level == 0 ? file_.get() : GDALGetBandDataset(band(key.level)), GF_Read,
        static_cast<int>(left), static_cast<int>(top), cols, rows, words.data(), cols, rows,
        surface ? GDT_Float32 : GDT_UInt16, surface ? 1 : 2, nullptr, 4, tile_side * 4, 2);
    if (failed != CE_None || errors_.failures() > 0)
        throw differs(errors_.reason());
    if (checksum_of(ConstTileWords{words.data(), tile_cells}) != record.checksum)
        throw differs(key);
}

} // namespace

void require_readable(const RasterOutSpec& spec, const Grid& grid,
                      const std::vector<LevelSize>& levels,
                      const std::map<TileKey, TileRecord>& tiles)
{
    const Check check{spec, levels};
    check.require_head(grid);
    check.require_tiles(tiles);
    int level = -1;
    for (const auto& [key, record] : tiles) {
        if (key.level > level)
            check.require_value(key, record);
        level = key.level;
    }
}

} // namespace fuelring
