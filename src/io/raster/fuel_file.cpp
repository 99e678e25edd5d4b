// SPDX-License-Identifier: Apache-2.0
#include "io/raster/fuel_file.hpp"

#include "io/gdal/open.hpp"

#include <fuelring/error.hpp>

#include <algorithm>
#include <limits>

namespace fuelring {

FuelFile::FuelFile(const FuelRaster& raster)
    : path_{raster.source().path}, file_{open_input(path_, InputKind::raster,
                                                    raster.source().remote_allowed, "inputs.fuel")}
{
    GDALRasterBandH band = GDALGetRasterBand(file_.get(), raster.source().band);
    const SourceGrid& grid = raster.plan().source;
    if (!band || GDALGetRasterXSize(file_.get()) != grid.cols ||
        GDALGetRasterYSize(file_.get()) != grid.rows)
        throw Error{Failure::input, "the raster changed while it was read", path_, "run again"};
    cells_.emplace(band, path_);
    if (GDALGetMaskFlags(band) & GMF_PER_DATASET)
        mask_.emplace(GDALGetMaskBand(band), path_);
    if (raster.plan().warped()) {
        const std::lock_guard lock{raster.making_readers_};
        warp_.emplace(raster.plan());
    }
}

SourceCell FuelFile::source_cell(const CellRect& rect, std::ptrdiff_t at)
{
    if (warp_)
        return warp_->locate(rect)[static_cast<std::size_t>(at)];
    return {rect.col + at % rect.cols, rect.row + at / rect.cols};
}

CellRect FuelFile::hull_of(const std::vector<SourceCell>& places)
{
    constexpr std::int64_t none = std::numeric_limits<std::int64_t>::max();
    SourceCell first{none, none};
    SourceCell last{-1, -1};
    for (const SourceCell& place : places)
        if (place.exists()) {
            first = {std::min(first.col, place.col), std::min(first.row, place.row)};
            last = {std::max(last.col, place.col), std::max(last.row, place.row)};
        }
    if (!last.exists())
        return {};
    return {first.col, first.row, last.col + 1 - first.col, last.row + 1 - first.row};
}

void FuelFile::read_window(const CellRect& window, std::size_t cell_bytes)
{
    const auto n = static_cast<std::size_t>(window.cols * window.rows);
    if (buffer_.size() < n * cell_bytes)
        buffer_.resize(n * cell_bytes);
    cells_->read(window, buffer_.data(), GDALGetRasterDataType(band()));
    if (mask_) {
        visible_.resize(n);
        mask_->read(window, visible_.data(), GDT_Byte);
    }
}

} // namespace fuelring
