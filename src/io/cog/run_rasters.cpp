// SPDX-License-Identifier: Apache-2.0

// The rasters of an earlier run, read in two ways: as cells, for plans; and as packed blocks, for a
// run that puts unchanged blocks into its own file without unpacking them.
#include "io/cog/run_rasters.hpp"

#include "io/cog/tile_store.hpp"
#include "io/gdal/errors.hpp"
#include "io/gdal/open.hpp"

#include <fuelring/error.hpp>

#include <fcntl.h>

namespace fuelring {

namespace {

DatasetPtr open_raster(const std::filesystem::path& file, const Grid& grid)
{
    const GdalErrors errors;
    DatasetPtr raster = open_own(file, "GTiff");
    if (!raster)
        throw Error{Failure::output, "the run's raster cannot be read: " + errors.reason(),
                    file.string(), "run fuelring map"};
    if (GDALGetRasterXSize(raster.get()) != grid.cols() ||
        GDALGetRasterYSize(raster.get()) != grid.rows())
        throw Error{Failure::output, "the run's raster has another size than the fuel raster",
                    file.string(), "run fuelring map"};
    return raster;
}

} // namespace

RunRasters::RunRasters(const std::filesystem::path& priority,
                       const std::filesystem::path& fuel_used, const Grid& grid)
    : priority_(open_raster(priority, grid)), fuel_used_(open_raster(fuel_used, grid)),
      folder_(priority.parent_path())
{}

bool RunRasters::read(const CellRect& rect, std::span<float> points, std::span<std::uint16_t> share,
                      std::span<std::uint16_t> group)
{
    const GdalErrors errors;
    const auto col = static_cast<int>(rect.col);
    const auto row = static_cast<int>(rect.row);
    const auto cols = static_cast<int>(rect.cols);
    const auto rows = static_cast<int>(rect.rows);
    GDALRasterBandH surface = GDALGetRasterBand(priority_.get(), 1);
    const int status = GDALGetDataCoverageStatus(surface, col, row, cols, rows, 0, nullptr);
    if (status == GDAL_DATA_COVERAGE_STATUS_EMPTY)
        return false;
    const auto load = [&](GDALRasterBandH band, void* into, GDALDataType type) {
        const CPLErr failed =
            GDALRasterIO(band, GF_Read, col, row, cols, rows, into, cols, rows, type, 0, 0);
        if (failed != CE_None || errors.failures() > 0)
            throw Error{Failure::output, "the run's rasters cannot be read: " + errors.reason(),
                        folder_.string(), "run fuelring map"};
    };
    load(surface, points.data(), GDT_Float32);
    load(GDALGetRasterBand(fuel_used_.get(), 1), share.data(), GDT_UInt16);
    load(GDALGetRasterBand(fuel_used_.get(), 2), group.data(), GDT_UInt16);
    return true;
}

PackedBlocks::PackedBlocks(const std::filesystem::path& file)
{
    const GdalErrors errors;
    file_ = open_own(file, "GTiff");
    if (file_)
        fd_ = UniqueFd{::open(file.c_str(), O_RDONLY | O_CLOEXEC)};
}

/// Nothing beyond the edge and above the last level.
TiffBlock PackedBlocks::block(int level, std::int64_t col, std::int64_t row)
{
    const std::lock_guard lock{guard_}; // only GDAL needs it: pread has no place of its own
    GDALRasterBandH band = GDALGetRasterBand(file_.get(), 1);
    if (level > 0)
        band = level <= GDALGetOverviewCount(band) ? GDALGetOverview(band, level - 1) : nullptr;
    if (!band || col < 0 || row < 0 || col * tile_side >= GDALGetRasterBandXSize(band) ||
        row * tile_side >= GDALGetRasterBandYSize(band))
        return {};
    return tiff_block(band, col, row);
}

bool PackedBlocks::has(int level, std::int64_t col, std::int64_t row)
{
    return fd_ && block(level, col, row).offset != 0;
}

bool PackedBlocks::read(int level, std::int64_t col, std::int64_t row,
                        std::vector<std::byte>& packed)
{
    if (!fd_)
        return false;
    const TiffBlock found = block(level, col, row);
    if (found.offset == 0 || found.size == 0 || found.size > 2 * tile_bytes)
        return false;
    packed.resize(static_cast<std::size_t>(found.size));
    return read_at(fd_.get(), found.offset, packed) == 0;
}

} // namespace fuelring
