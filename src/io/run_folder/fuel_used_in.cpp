// SPDX-License-Identifier: Apache-2.0

// The raster is read as any input is, bounds and checksums and all: a run's folder may have been
// copied, cut short or written by somebody else.
#include "io/run_folder/fuel_used_in.hpp"

#include "io/gdal/open.hpp"
#include "io/raster/raster_input.hpp"

#include <fuelring/error.hpp>
#include <fuelring/fuel_classes.hpp>

#include <algorithm>

namespace fuelring {

struct FuelUsed::Opened {
    DatasetPtr file;
    BandReader share;
    BandReader group;
    SourceGrid place;
};

FuelUsed::Opened FuelUsed::open(const std::string& path)
{
    const std::string key = "the run's fuel";
    DatasetPtr file = open_input(path, InputKind::raster, false, key);
    GDALRasterBandH share = require_sane_band(file.get(), {path, key, "conifer shares", 1});
    GDALRasterBandH group = require_sane_band(file.get(), {path, key, "fuel groups", 2});
    if (GDALGetRasterDataType(share) != GDT_UInt16 || GDALGetRasterDataType(group) != GDT_UInt16)
        throw Error{Failure::input, "its bands are not what fuelring map writes", path,
                    "give the folder of a run of fuelring map"};
    SourceGrid place = source_grid(file.get(), {}, path, key);
    return {std::move(file), {share, path}, {group, path}, std::move(place)};
}

FuelUsed::FuelUsed(const std::string& path) : FuelUsed(open(path)) {}

FuelUsed::FuelUsed(Opened opened)
    : file_(std::move(opened.file)), share_(std::move(opened.share)),
      group_(std::move(opened.group)), crs_(opened.place.crs),
      grid_(opened.place.geotransform, opened.place.cols, opened.place.rows)
{}

FuelPatch FuelUsed::read(const CellRect& rect)
{
    FuelPatch patch{rect, {}, {}};
    const auto n = static_cast<std::size_t>(rect.cols * rect.rows);
    // First all as off the raster; then the part on it is filled in.
    patch.share.assign(n, FuelPatch::unknown_share);
    patch.group.assign(n, FuelPatch::never_reached);
    const CellRect part = intersection(rect, grid_.extent());
    if (part.empty())
        return patch;
    std::vector<std::uint16_t> cells(static_cast<std::size_t>(part.cols * part.rows));
    const auto fill = [&](BandReader& band, std::vector<std::uint16_t>& into) {
        band.read(part, cells.data(), GDT_UInt16);
        auto from = cells.begin();
        for (std::int64_t row = part.row; row < part.row + part.rows; ++row, from += part.cols)
            std::copy_n(from, part.cols,
                        into.begin() + static_cast<std::ptrdiff_t>(patch.index(part.col, row)));
    };
    fill(share_, patch.share);
    fill(group_, patch.group);
    return patch;
}

} // namespace fuelring
