// SPDX-License-Identifier: Apache-2.0

// Opening the fuel raster: everything that can be refused is refused before the first cell is read.
#include "io/raster/fuel_raster.hpp"

#include "io/gdal/open.hpp"
#include "io/raster/raster_input.hpp"

#include <fuelring/error.hpp>

#include <utility>

namespace fuelring {

namespace {

constexpr const char* fuel_key = "inputs.fuel";

AnalysisPlan plan_of(GDALDatasetH file, const FuelSource& source, const StudyArea& study)
{
    const SourceGrid grid = source_grid(file, source.crs, source.path, fuel_key);
    try {
        return plan_analysis(grid, study);
    } catch (const Error& e) {
        if (!e.where().empty()) // the structures are to blame
            throw;
        throw Error{Failure::input, e.what(), source.path, e.remedy()};
    }
}

FileBlocks blocks_of(GDALDatasetH file, GDALRasterBandH band)
{
    int width = 0;
    int height = 0;
    GDALGetBlockSize(band, &width, &height);
    const int mask_bytes = GDALGetMaskFlags(band) & GMF_PER_DATASET ? 1 : 0;
    return {width, height, GDALGetDataTypeSizeBytes(GDALGetRasterDataType(band)) + mask_bytes,
            GDALGetRasterXSize(file), GDALGetRasterYSize(file)};
}

} // namespace

struct FuelRaster::Opened {
    AnalysisPlan plan;
    std::string description;
    FileBlocks blocks;
};

FuelRaster::Opened FuelRaster::inspect(const FuelSource& source, const StudyArea& study)
{
    const DatasetPtr file =
        open_input(source.path, InputKind::raster, source.remote_allowed, fuel_key);
    GDALRasterBandH band =
        require_sane_band(file.get(), {source.path, fuel_key, "class codes", source.band});
    return {plan_of(file.get(), source, study), describe_raster(file.get(), band),
            blocks_of(file.get(), band)};
}

FuelRaster::FuelRaster(const FuelSource& source, const FuelClassTable& classes,
                       const StudyArea& study)
    : FuelRaster{source, classes, inspect(source, study)}
{}

FuelRaster::FuelRaster(const FuelSource& source, const FuelClassTable& classes, Opened opened)
    : source_{source}, classes_{classes}, plan_{std::move(opened.plan)},
      description_{std::move(opened.description)}, blocks_{opened.blocks}
{}

} // namespace fuelring
