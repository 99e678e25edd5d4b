// SPDX-License-Identifier: Apache-2.0

// A band is read through GDAL, but not before the blocks under the window were proved where they
// carry a checksum (deflate_blocks.hpp). Each worker opens the file anew and looks whether it still
// is the one that was planned with: an input may be replaced while a run is at work.
#include "io/raster/band_reader.hpp"

#include "io/gdal/errors.hpp"
#include "io/gdal/open.hpp"

#include <utility>

namespace fuelring {

namespace {

GDALRasterBandH band_as_before(GDALDatasetH file, int number, const SourceGrid& grid,
                               const std::string& path)
{
    GDALRasterBandH band = GDALGetRasterBand(file, number);
    if (!band || GDALGetRasterXSize(file) != grid.cols || GDALGetRasterYSize(file) != grid.rows)
        throw Error{Failure::input, "the raster changed while it was read", path, "run again"};
    return band;
}

} // namespace

BandReader::BandReader(GDALRasterBandH band, std::string path)
    : band_{band}, path_{std::move(path)}, blocks_{DeflateBlocks::of(band_, path_)}
{}

void BandReader::read(const CellRect& rect, void* into, GDALDataType type)
{
    if (blocks_)
        blocks_->prove(rect);
    CPLErrorReset();
    const auto cols = static_cast<int>(rect.cols);
    const auto rows = static_cast<int>(rect.rows);
    if (GDALRasterIO(band_, GF_Read, static_cast<int>(rect.col), static_cast<int>(rect.row), cols,
                     rows, into, cols, rows, type, 0, 0) != CE_None)
        throw unreadable_cells(rect, gdal_reason(), path_);
}

OpenBand::OpenBand(const std::string& path, int band, bool remote_allowed, const char* key,
                   const SourceGrid& grid)
    : file{open_input(path, InputKind::raster, remote_allowed, key)},
      cells{band_as_before(file.get(), band, grid, path), path}
{
    if (GDALGetMaskFlags(cells.band()) & GMF_PER_DATASET)
        mask.emplace(GDALGetMaskBand(cells.band()), path);
}

} // namespace fuelring
