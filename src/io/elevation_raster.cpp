// SPDX-License-Identifier: Apache-2.0
#include "io/elevation_raster.hpp"

#include "io/gdal_open.hpp"
#include "io/raster_input.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <cmath>

namespace fuelring {

namespace {

constexpr const char* elevation_key = "inputs.elevation";

void require_map(const SourceGrid& grid, const std::string& path)
{
    if (!grid.crs.srs().IsProjected() && !grid.crs.srs().IsGeographic())
        throw Error{Failure::input, grid.crs.name() + " is no map grid", path,
                    "warp the raster with gdalwarp -t_srs EPSG:..."};
    const auto& g = grid.geotransform;
    const double determinant = g[1] * g[5] - g[2] * g[4];
    if (!std::isfinite(determinant) || determinant == 0)
        throw Error{Failure::input, "cells without area", path,
                    "look at the geotransform with gdalinfo"};
}

std::string note_on_crs(GDALDatasetH file, const Crs& crs, const Crs& analysis)
{
    const auto* srs = OGRSpatialReference::FromHandle(GDALGetSpatialRef(file));
    return fmt::format("{}: {} {}, {}", elevation_key, crs.name(),
                       is_known_crs(srs) ? "by the file" : "by the configuration",
                       crs.same_as(analysis)
                           ? "the same as the raster's"
                           : "cells are looked up where they stand in " + analysis.name());
}

} // namespace

ElevationRaster::ElevationRaster(const ElevationSource& source, const Crs& analysis)
    : source_{source}, analysis_{analysis}
{
    const DatasetPtr file =
        open_input(source.path, InputKind::raster, source.remote_allowed, elevation_key);
    GDALRasterBandH band =
        require_sane_band(file.get(), {source.path, elevation_key, "heights", source.band});
    grid_ = source_grid(file.get(), source.crs, source.path, elevation_key);
    require_map(grid_, source.path);
    unit_ = find_height_unit(file.get(), band, source.unit);
    scale_ = GDALGetRasterScale(band, nullptr);
    offset_ = GDALGetRasterOffset(band, nullptr);
    if (!std::isfinite(scale_) || scale_ == 0 || !std::isfinite(offset_))
        throw Error{Failure::input,
                    fmt::format("heights of scale {} and offset {} are none", scale_, offset_),
                    source.path, "correct them with gdal_edit -scale ... -offset ..."};
    description_ = describe_raster(file.get(), band);
    crs_note_ = note_on_crs(file.get(), grid_.crs, analysis);
}

} // namespace fuelring
