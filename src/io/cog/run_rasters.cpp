// SPDX-License-Identifier: Apache-2.0
#include "io/cog/run_rasters.hpp"

#include "io/gdal/errors.hpp"

#include <fuelring/error.hpp>

#include <array>

namespace fuelring {

namespace {

DatasetPtr open_raster(const std::filesystem::path& file, const Grid& grid)
{
    const GdalErrors errors;
    const std::array<const char*, 2> drivers = {"GTiff", nullptr};
    DatasetPtr raster{GDALOpenEx(file.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY, drivers.data(),
                                 nullptr, nullptr)};
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

} // namespace fuelring
