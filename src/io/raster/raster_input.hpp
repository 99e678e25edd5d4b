// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/handles.hpp"
#include "io/georeference/analysis_grid.hpp"

#include <cstdint>
#include <string>

namespace fuelring {

/// One band of a raster file as the configuration names it, for messages.
struct RasterInput {
    std::string path;
    std::string key;      ///< table of the configuration, such as inputs.fuel
    std::string contents; ///< of its cells: "class codes"
    int band = 1;
};

/// The first block of a band: the others have its size, but for those at the raster's edges.
/// Shape: at column 0, row 0, in cells.
CellRect block_of(GDALRasterBandH band);

/// Throws: Error{input} for more cells than are read (2.5e11).
void require_sane_size(std::int64_t cols, std::int64_t rows, const std::string& path);

/// The band, when nothing about the file is absurd: a few kilobytes can announce terabytes.
/// Throws: Error{input}: too many cells or bands, no such band, huge blocks, complex cells, a local
/// GeoTIFF that was cut short.
/// Planning defaults: at most 2.5e11 cells, 1000 bands and 64 MiB a block. The file owns the band.
GDALRasterBandH require_sane_band(GDALDatasetH file, const RasterInput& input);

/// Where the file puts its cells; `crs_if_none` and `key` as in crs_of_input.
/// Throws: Error{input}: no georeference, no CRS.
/// A world file beside the raster counts as its georeference.
SourceGrid source_grid(GDALDatasetH file, const std::string& crs_if_none, const std::string& path,
                       const std::string& key);

/// "GTiff, 5000 x 4000 cells, Byte, nodata 255, blocks 512 x 512", for the log and run.json.
std::string describe_raster(GDALDatasetH file, GDALRasterBandH band);

} // namespace fuelring
