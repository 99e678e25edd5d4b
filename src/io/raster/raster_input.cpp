// SPDX-License-Identifier: Apache-2.0

// Looks at what a raster file claims before anything is read of it: a header of a few bytes may
// promise more cells than there is memory, and a file that was cut short opens as if it were whole.
#include "io/raster/raster_input.hpp"

#include "io/gdal/open.hpp"
#include "io/gdal/tiff_block.hpp"
#include "io/raster/band_reader.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <filesystem>
#include <system_error>

namespace fuelring {

namespace {

// Bounds on what a file may claim to hold.
constexpr std::int64_t most_cells = 250'000'000'000; ///< 500 km x 500 km at 1 m
constexpr std::int64_t largest_block_bytes = 64LL << 20;
constexpr int most_bands = 1000;
constexpr std::int64_t most_blocks = 1 << 20; ///< looked at; beyond, those of the last row

void require_sane_bands(GDALDatasetH file, const RasterInput& input)
{
    require_sane_size(GDALGetRasterXSize(file), GDALGetRasterYSize(file), input.path);
    if (GDALGetRasterCount(file) > most_bands)
        throw Error{Failure::input,
                    fmt::format("{} bands; {} is the most", GDALGetRasterCount(file), most_bands),
                    input.path,
                    fmt::format("write the band of {} to a file of its own", input.contents)};
}

/// One block is decoded whole, with all its bands where they are interleaved.
void require_sane_blocks(GDALDatasetH file, GDALRasterBandH band, const RasterInput& input)
{
    const CellRect block = block_of(band);
    const char* interleave = GDALGetMetadataItem(file, "INTERLEAVE", "IMAGE_STRUCTURE");
    const bool together = interleave && std::strcmp(interleave, "PIXEL") == 0;
    const std::int64_t bytes = block.cols * block.rows *
                               GDALGetDataTypeSizeBytes(GDALGetRasterDataType(band)) *
                               (together ? GDALGetRasterCount(file) : 1);
    if (bytes > largest_block_bytes)
        throw Error{Failure::input,
                    fmt::format("blocks of {} x {} cells take {} MiB each; {} is the most",
                                block.cols, block.rows, bytes >> 20, largest_block_bytes >> 20),
                    input.path,
                    "rewrite it with gdal_translate -co TILED=YES -co BLOCKXSIZE=512 "
                    "-co BLOCKYSIZE=512"};
    if (GDALDataTypeIsComplex(GDALGetRasterDataType(band)))
        throw Error{Failure::input,
                    fmt::format("cells are complex numbers, not {}", input.contents), input.path,
                    fmt::format("check {}.band", input.key)};
}

/// A local GeoTIFF whose blocks end beyond the end of the file was cut short. GDAL opens it and
/// fails at the blocks that are missing, which may be ones that no run reads until later.
/// Other formats and files elsewhere are left to their readers.
void require_whole_tiff(GDALDatasetH file, GDALRasterBandH band, const std::string& path)
{
    std::error_code error;
    const std::uintmax_t size = std::filesystem::file_size(path, error);
    if (error || std::strcmp(GDALGetDriverShortName(GDALGetDatasetDriver(file)), "GTiff") != 0)
        return;
    const CellRect block = block_of(band);
    const std::int64_t cols = (GDALGetRasterBandXSize(band) + block.cols - 1) / block.cols;
    const std::int64_t rows = (GDALGetRasterBandYSize(band) + block.rows - 1) / block.rows;
    for (std::int64_t row = cols * rows > most_blocks ? rows - 1 : 0; row < rows; ++row)
        for (std::int64_t col = 0; col < cols; ++col) {
            const TiffBlock stored = tiff_block(band, col, row);
            const std::uint64_t end = stored.offset + stored.size;
            if (stored.offset > 0 && end > size)
                throw Error{Failure::input,
                            fmt::format("the file is cut short: it has {} bytes, and its block in "
                                        "column {}, row {} ends at {}",
                                        size, col, row, end),
                            path, "fetch the file again"};
        }
}

} // namespace

void require_sane_size(std::int64_t cols, std::int64_t rows, const std::string& path)
{
    if (cols > most_cells / std::max<std::int64_t>(rows, 1))
        throw Error{
            Failure::input,
            fmt::format("{} x {} cells; {} is the most that is read", cols, rows, most_cells), path,
            "cut the community out with gdalwarp or gdal_translate"};
}

CellRect block_of(GDALRasterBandH band)
{
    int width = 0;
    int height = 0;
    GDALGetBlockSize(band, &width, &height);
    return {0, 0, width, height};
}

GDALRasterBandH require_sane_band(GDALDatasetH file, const RasterInput& input)
{
    require_sane_bands(file, input);
    const int bands = GDALGetRasterCount(file);
    if (input.band < 1 || input.band > bands)
        throw Error{Failure::input, fmt::format("no band {}: the raster has {}", input.band, bands),
                    input.path, fmt::format("check {}.band", input.key)};
    GDALRasterBandH band = GDALGetRasterBand(file, input.band);
    require_sane_blocks(file, band, input);
    require_whole_tiff(file, band, input.path);
    return band;
}

SourceGrid source_grid(GDALDatasetH file, const std::string& crs_if_none, const std::string& path,
                       const std::string& key)
{
    const auto* srs = OGRSpatialReference::FromHandle(GDALGetSpatialRef(file));
    SourceGrid grid{crs_of_input(srs, crs_if_none, path, key + ".crs"),
                    {},
                    GDALGetRasterXSize(file),
                    GDALGetRasterYSize(file)};
    if (GDALGetGeoTransform(file, grid.geotransform.data()) != CE_None)
        throw Error{Failure::input, "the raster has no georeference", path,
                    "give it one with gdal_edit, or a world file"};
    return grid;
}

std::string describe_raster(GDALDatasetH file, GDALRasterBandH band)
{
    const CellRect block = block_of(band);
    int has_nodata = 0;
    const double nodata = GDALGetRasterNoDataValue(band, &has_nodata); // which may be NaN
    return fmt::format("{}, {} x {} cells, {}, {}, blocks {} x {}",
                       GDALGetDriverShortName(GDALGetDatasetDriver(file)), GDALGetRasterXSize(file),
                       GDALGetRasterYSize(file), GDALGetDataTypeName(GDALGetRasterDataType(band)),
                       has_nodata ? fmt::format("nodata {}", nodata) : "no nodata", block.cols,
                       block.rows);
}

} // namespace fuelring
