// SPDX-License-Identifier: Apache-2.0

// Opening the fuel raster: everything that can be refused is refused before the first cell is read.
#include "io/raster/fuel_raster.hpp"

#include "io/gdal/open.hpp"
#include "io/raster/raster_input.hpp"

#include <fuelring/error.hpp>

namespace fuelring {

namespace {

constexpr const char* fuel_key = "inputs.fuel";

AnalysisPlan plan_of(GDALDatasetH file, const FuelSource& source, const StudyArea& study)
{
    require_sane_band(file, {source.path, fuel_key, "class codes", source.band});
    const SourceGrid grid = source_grid(file, source.crs, source.path, fuel_key);
    try {
        return plan_analysis(grid, study);
    } catch (const Error& e) {
        if (!e.where().empty()) // the structures are to blame
            throw;
        throw Error{Failure::input, e.what(), source.path, e.remedy()};
    }
}

} // namespace

FuelRaster::FuelRaster(const FuelSource& source, const FuelClassTable& classes,
                       const StudyArea& study)
    : FuelRaster{source, classes, study,
                 open_input(source.path, InputKind::raster, source.remote_allowed, fuel_key)}
{}

FuelRaster::FuelRaster(const FuelSource& source, const FuelClassTable& classes,
                       const StudyArea& study, const DatasetPtr& file)
    : source_{source}, classes_{classes}, plan_{plan_of(file.get(), source, study)}
{
    GDALRasterBandH band = GDALGetRasterBand(file.get(), source.band);
    description_ = describe_raster(file.get(), band);
    const CellRect block = block_of(band);
    const int mask_bytes = GDALGetMaskFlags(band) & GMF_PER_DATASET ? 1 : 0;
    blocks_ = {block.cols, block.rows,
               GDALGetDataTypeSizeBytes(GDALGetRasterDataType(band)) + mask_bytes,
               plan_.source.cols, plan_.source.rows};
    if (plan_.warped())
        warp_.emplace(plan_);
}

} // namespace fuelring
