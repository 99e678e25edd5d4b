// SPDX-License-Identifier: Apache-2.0

// A raster is sampled in small windows spread over it, never by overviews: these may hold means of
// codes, which are no codes.
#include "io/folder/found.hpp"
#include "io/folder/found_crs.hpp"
#include "io/gdal/open.hpp"
#include "io/georeference/geotransform.hpp"
#include "io/raster/raster_input.hpp"

#include <ogr_spatialref.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string_view>

namespace fuelring {

namespace {

constexpr int windows_a_side = 12;
constexpr int window_cells = 48;
constexpr double metres_of_a_degree = 111'320;

bool has_colours(GDALDatasetH file)
{
    bool red = false, blue = false;
    for (int k = 1; k <= GDALGetRasterCount(file); ++k) {
        const GDALColorInterp colour = GDALGetRasterColorInterpretation(GDALGetRasterBand(file, k));
        red = red || colour == GCI_RedBand;
        blue = blue || colour == GCI_BlueBand;
    }
    return red && blue;
}

void take_cell(double value, FoundRaster& into)
{
    into.least = into.sampled == 0 ? value : std::min(into.least, value);
    into.most = into.sampled == 0 ? value : std::max(into.most, value);
    ++into.sampled;
    into.whole_numbers = into.whole_numbers && value == std::trunc(value);
    if (const auto at = into.values.find(value); at != into.values.end())
        ++at->second;
    else if (into.values.size() < FoundRaster::most_values)
        into.values.emplace(value, 1);
    else
        into.all_values = false;
}

/// One window; what the file hides or calls nodata is counted apart.
void sample(GDALRasterBandH band, int col, int row, int cols, int rows, FoundRaster& into)
{
    std::vector<double> cells(static_cast<std::size_t>(cols) * static_cast<std::size_t>(rows));
    std::vector<unsigned char> visible(cells.size(), 255);
    if (GDALRasterIO(band, GF_Read, col, row, cols, rows, cells.data(), cols, rows, GDT_Float64, 0,
                     0) != CE_None)
        return;
    if (!(GDALGetMaskFlags(band) & GMF_ALL_VALID) &&
        GDALRasterIO(GDALGetMaskBand(band), GF_Read, col, row, cols, rows, visible.data(), cols,
                     rows, GDT_Byte, 0, 0) != CE_None)
        return;
    for (std::size_t k = 0; k < cells.size(); ++k)
        if (visible[k] == 0 || std::isnan(cells[k]))
            ++into.nodata;
        else
            take_cell(cells[k], into);
}

void sample_all(GDALRasterBandH band, FoundRaster& into)
{
    const auto cols = static_cast<int>(into.cols);
    const auto rows = static_cast<int>(into.rows);
    const int width = std::min(window_cells, cols);
    const int height = std::min(window_cells, rows);
    const int across = std::min(windows_a_side, (cols + width - 1) / width);
    const int down = std::min(windows_a_side, (rows + height - 1) / height);
    for (int y = 0; y < down; ++y)
        for (int x = 0; x < across; ++x)
            sample(band,
                   across > 1 ? static_cast<int>(std::int64_t{cols - width} * x / (across - 1)) : 0,
                   down > 1 ? static_cast<int>(std::int64_t{rows - height} * y / (down - 1)) : 0,
                   width, height, into);
}

} // namespace

FoundCrs found_crs(const OGRSpatialReference* srs)
{
    if (!is_known_crs(srs))
        return {};
    const Crs crs = Crs::from_srs(*srs);
    const char* authority = srs->GetAuthorityName(nullptr);
    const char* code = srs->GetAuthorityCode(nullptr);
    return {crs.name(), authority && code ? std::string{authority} + ":" + code : crs.wkt(),
            srs->IsGeographic() != 0};
}

double rough_metres(const OGRSpatialReference* srs, double units, double y)
{
    if (!srs)
        return units;
    if (srs->IsGeographic())
        return units * metres_of_a_degree * std::sqrt(std::cos(y * std::numbers::pi / 180));
    return units * srs->GetLinearUnits();
}

FoundRaster look_at_raster_file(const std::string& path)
{
    const DatasetPtr file = open_input(path, InputKind::raster, false, "the folder");
    GDALRasterBandH band = require_sane_band(file.get(), {path, "the folder", "cells", 1});
    FoundRaster found{.paths = {path}, .bands = GDALGetRasterCount(file.get())};
    found.type = GDALGetDataTypeName(GDALGetRasterDataType(band));
    found.colours = has_colours(file.get());
    found.has_unit = !std::string_view{GDALGetRasterUnitType(band)}.empty();
    const auto* srs = OGRSpatialReference::FromHandle(GDALGetSpatialRef(file.get()));
    found.crs = found_crs(srs);
    found.cols = GDALGetRasterXSize(file.get());
    found.rows = GDALGetRasterYSize(file.get());
    Geotransform& g = found.geotransform;
    if (GDALGetGeoTransform(file.get(), g.data()) == CE_None) {
        found.extent = box_of(g, static_cast<double>(found.cols), static_cast<double>(found.rows));
        found.cell_m = rough_metres(srs, std::max(std::hypot(g[1], g[4]), std::hypot(g[2], g[5])),
                                    found.extent.centre().y);
    }
    sample_all(band, found);
    return found;
}

} // namespace fuelring
