// SPDX-License-Identifier: Apache-2.0

// Opening the fuel raster: everything that can be refused is refused before the first cell is read.
#include "io/fuel_raster.hpp"

#include "io/gdal_open.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <array>
#include <cstring>
#include <utility>

namespace fuelring {

namespace {

// Bounds on what a file may claim to hold. A few kilobytes can announce terabytes.
constexpr std::int64_t most_cells = 250'000'000'000; ///< 500 km x 500 km at 1 m
constexpr std::int64_t largest_block_bytes = 64LL << 20;
constexpr int most_bands = 1000;

constexpr const char* key = "inputs.fuel";

void require_sane_size(GDALDatasetH file, const std::string& path)
{
    const std::int64_t cols = GDALGetRasterXSize(file);
    const std::int64_t rows = GDALGetRasterYSize(file);
    if (cols * rows > most_cells)
        throw Error{
            Failure::input,
            fmt::format("{} x {} cells; {} is the most that is read", cols, rows, most_cells), path,
            "cut the community out with gdalwarp or gdal_translate"};
    if (GDALGetRasterCount(file) > most_bands)
        throw Error{Failure::input,
                    fmt::format("{} bands; {} is the most", GDALGetRasterCount(file), most_bands),
                    path, "write the band of fuel classes to a file of its own"};
}

GDALRasterBandH fuel_band(GDALDatasetH file, const FuelSource& source)
{
    const int bands = GDALGetRasterCount(file);
    if (source.band < 1 || source.band > bands)
        throw Error{Failure::input,
                    fmt::format("no band {}: the raster has {}", source.band, bands), source.path,
                    "check inputs.fuel.band"};
    return GDALGetRasterBand(file, source.band);
}

/// One block is decoded whole, with all its bands where they are interleaved.
void require_sane_blocks(GDALDatasetH file, GDALRasterBandH band, const std::string& path)
{
    int width = 0;
    int height = 0;
    GDALGetBlockSize(band, &width, &height);
    const char* interleave = GDALGetMetadataItem(file, "INTERLEAVE", "IMAGE_STRUCTURE");
    const bool together = interleave && std::strcmp(interleave, "PIXEL") == 0;
    const std::int64_t bytes = std::int64_t{width} * height *
                               GDALGetDataTypeSizeBytes(GDALGetRasterDataType(band)) *
                               (together ? GDALGetRasterCount(file) : 1);
    if (bytes > largest_block_bytes)
        throw Error{Failure::input,
                    fmt::format("blocks of {} x {} cells take {} MiB each; {} is the most", width,
                                height, bytes >> 20, largest_block_bytes >> 20),
                    path,
                    "rewrite it with gdal_translate -co TILED=YES -co BLOCKXSIZE=512 "
                    "-co BLOCKYSIZE=512"};
    if (GDALDataTypeIsComplex(GDALGetRasterDataType(band)))
        throw Error{Failure::input, "cells are complex numbers, not class codes", path,
                    "check inputs.fuel.band"};
}

SourceGrid grid_of(GDALDatasetH file, const FuelSource& source)
{
    const auto* srs = OGRSpatialReference::FromHandle(GDALGetSpatialRef(file));
    SourceGrid grid{crs_of_input(srs, source.crs, source.path, key),
                    {},
                    GDALGetRasterXSize(file),
                    GDALGetRasterYSize(file)};
    if (GDALGetGeoTransform(file, grid.geotransform.data()) != CE_None)
        throw Error{Failure::input, "the raster has no georeference", source.path,
                    "give it one with gdal_edit, or a world file"};
    return grid;
}

AnalysisPlan plan_of(GDALDatasetH file, const FuelSource& source, const StudyArea& study)
{
    const SourceGrid grid = grid_of(file, source);
    try {
        return plan_analysis(grid, study);
    } catch (const Error& e) {
        if (!e.where().empty()) // the structures are to blame
            throw;
        throw Error{Failure::input, e.what(), source.path, e.remedy()};
    }
}

std::string describe(GDALDatasetH file, GDALRasterBandH band)
{
    int width = 0;
    int height = 0;
    GDALGetBlockSize(band, &width, &height);
    int has_nodata = 0;
    const double nodata = GDALGetRasterNoDataValue(band, &has_nodata);
    return fmt::format("{}, {} x {} cells, {}, {}, blocks {} x {}",
                       GDALGetDriverShortName(GDALGetDatasetDriver(file)), GDALGetRasterXSize(file),
                       GDALGetRasterYSize(file), GDALGetDataTypeName(GDALGetRasterDataType(band)),
                       has_nodata ? fmt::format("nodata {}", nodata) : "no nodata", width, height);
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
    const DatasetPtr file = open_input(source.path, InputKind::raster, source.remote_allowed, key);
    require_sane_size(file.get(), source.path);
    GDALRasterBandH band = fuel_band(file.get(), source);
    require_sane_blocks(file.get(), band, source.path);
    return {plan_of(file.get(), source, study), describe(file.get(), band),
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
