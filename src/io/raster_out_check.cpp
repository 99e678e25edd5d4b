// SPDX-License-Identifier: Apache-2.0
#include "io/raster_out_check.hpp"

#include "io/gdal_errors.hpp"
#include "io/workers.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>

namespace fuelring {

namespace {

using Kind = RasterOutSpec::Kind;

/// After this many tiles GDAL's block cache is emptied: memory stays bounded.
constexpr int tiles_kept = 16;

Error differs(const RasterOutSpec& spec, const std::string& what)
{
    return {Failure::output, "the raster on the disk is not what was written: " + what,
            spec.path.string(), "check the disk, then run again"};
}

/// One worker's view of the file: GDAL's own reader, level by level.
class Reader {
public:
    explicit Reader(const RasterOutSpec& spec) : spec_(spec)
    {
        const std::array<const char*, 2> drivers = {"GTiff", nullptr};
        file_.reset(GDALOpenEx(spec.path.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY, drivers.data(),
                               nullptr, nullptr));
        if (!file_)
            throw differs(spec, errors_.reason());
    }

    GDALDatasetH file() const { return file_.get(); }
    GDALDatasetH level(int level) const
    {
        if (level == 0)
            return file_.get();
        GDALRasterBandH overview = GDALGetOverview(GDALGetRasterBand(file_.get(), 1), level - 1);
        return overview ? GDALGetBandDataset(overview) : nullptr;
    }

    std::uint32_t checksum(const TileKey& key, const LevelSize& size, TileWords tile)
    {
        const bool surface = spec_.kind == Kind::surface;
        const std::int64_t left = key.col * tile_side;
        const std::int64_t top = key.row * tile_side;
        const int cols = static_cast<int>(std::min<std::int64_t>(tile_side, size.cols - left));
        const int rows = static_cast<int>(std::min<std::int64_t>(tile_side, size.rows - top));
        if (cols < tile_side || rows < tile_side)
            std::ranges::fill(tile, surface ? nan_word : no_data_word);
        const GDALDatasetH from = level(key.level);
        const CPLErr failed =
            GDALDatasetRasterIO(from, GF_Read, static_cast<int>(left), static_cast<int>(top), cols,
                                rows, tile.data(), cols, rows, surface ? GDT_Float32 : GDT_UInt16,
                                surface ? 1 : 2, nullptr, 4, tile_side * 4, 2);
        if (failed != CE_None || errors_.failures() > 0)
            throw differs(spec_, errors_.reason());
        if (++read_ % tiles_kept == 0)
            GDALFlushCache(from);
        return checksum_of(tile);
    }

private:
    const RasterOutSpec& spec_;
    GdalErrors errors_;
    DatasetPtr file_;
    int read_ = 0;
};

void require_head(const RasterOutSpec& spec, const Grid& grid, const std::vector<LevelSize>& levels,
                  const Reader& reader)
{
    const char* layout = GDALGetMetadataItem(reader.file(), "LAYOUT", "IMAGE_STRUCTURE");
    if (!layout || std::string_view{layout} != "COG")
        throw differs(spec, "it is not laid out as a COG");
    std::array<double, 6> place{};
    if (GDALGetGeoTransform(reader.file(), place.data()) != CE_None)
        throw differs(spec, "it has no georeference");
    const double tolerance = 1e-6 * std::max(grid.cell_width_m(), grid.cell_height_m());
    for (std::size_t k = 0; k < place.size(); ++k)
        if (!(std::abs(place[k] - grid.geotransform()[k]) <= tolerance))
            throw differs(spec, "it lies elsewhere");
    const int overviews = GDALGetOverviewCount(GDALGetRasterBand(reader.file(), 1));
    if (overviews != static_cast<int>(levels.size()) - 1)
        throw differs(spec, "overviews are missing");
    for (std::size_t k = 0; k < levels.size(); ++k) {
        const GDALDatasetH level = reader.level(static_cast<int>(k));
        if (!level || GDALGetRasterXSize(level) != levels[k].cols ||
            GDALGetRasterYSize(level) != levels[k].rows)
            throw differs(spec, fmt::format("level {} has another size", k));
    }
}

} // namespace

void require_readable(const RasterOutSpec& spec, const Grid& grid,
                      const std::vector<LevelSize>& levels,
                      const std::map<TileKey, TileRecord>& tiles)
{
    require_head(spec, grid, levels, Reader{spec});
    const std::vector<std::pair<TileKey, TileRecord>> list(tiles.begin(), tiles.end());
    share_out(list.size(), spec.threads, [&](const auto& next) {
        Reader reader{spec};
        std::vector<std::uint32_t> words(tile_cells);
        const TileWords tile{words.data(), tile_cells};
        for (std::size_t k = next(); k < list.size(); k = next()) {
            const auto& [key, record] = list[k];
            const LevelSize& size = levels[static_cast<std::size_t>(key.level)];
            if (reader.checksum(key, size, tile) != record.checksum)
                throw differs(spec, fmt::format("level {}, tile row {}, column {}", key.level,
                                                key.row, key.col));
        }
    });
}

} // namespace fuelring
