// SPDX-License-Identifier: Apache-2.0
#include "io/raster/band_reader.hpp"

#include "io/gdal/open.hpp"

#include <fuelring/error.hpp>

#include <cpl_error.h>
#include <fmt/format.h>

#include <utility>

namespace fuelring {

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
        throw Error{Failure::input,
                    fmt::format("columns {} to {}, rows {} to {} cannot be read: {}", rect.col,
                                rect.col + rect.cols - 1, rect.row, rect.row + rect.rows - 1,
                                gdal_reason("GDAL gives no reason")),
                    path_, "the file may be damaged or cut short: fetch it again"};
}

} // namespace fuelring
