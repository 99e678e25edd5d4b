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

BandReader cells_in(const RasterPlace& place, GDALDatasetH file)
{
    if (place.is_mosaic())
        return {std::make_shared<MosaicReader>(place), BandReader::Part::cells};
    return {band_as_before(file, place.band, place.grid, place.files.path), place.files.path};
}

} // namespace

BandReader::BandReader(GDALRasterBandH band, std::string path)
    : band_{band}, path_{std::move(path)}, blocks_{DeflateBlocks::of(band_, path_)}
{}

BandReader::BandReader(std::shared_ptr<MosaicReader> mosaic, Part part)
    : band_{mosaic->band()}, mosaic_{std::move(mosaic)}, part_{part}
{}

void BandReader::read(const CellRect& rect, void* into, GDALDataType type)
{
    if (mosaic_ && part_ == Part::cells) {
        mosaic_->read(rect, into, type);
        return;
    }
    if (mosaic_) {
        mosaic_->read_mask(rect, static_cast<std::uint8_t*>(into));
        return;
    }
    if (blocks_)
        blocks_->prove(rect);
    CPLErrorReset();
    const auto cols = static_cast<int>(rect.cols);
    const auto rows = static_cast<int>(rect.rows);
    if (GDALRasterIO(band_, GF_Read, static_cast<int>(rect.col), static_cast<int>(rect.row), cols,
                     rows, into, cols, rows, type, 0, 0) != CE_None)
        throw unreadable_cells(rect, gdal_reason(), path_);
}

OpenBand::OpenBand(const RasterPlace& place)
    : file{place.is_mosaic() ? nullptr
                             : open_input(place.files.path, InputKind::raster,
                                          place.files.remote_allowed, place.key)},
      cells{cells_in(place, file.get())}
{
    if (place.is_mosaic())
        mask.emplace(cells.mosaic(), BandReader::Part::mask);
    else if (GDALGetMaskFlags(cells.band()) & GMF_PER_DATASET)
        mask.emplace(GDALGetMaskBand(cells.band()), place.files.path);
}

} // namespace fuelring
