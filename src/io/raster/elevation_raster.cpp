// SPDX-License-Identifier: Apache-2.0

// Opening the raster of heights: everything that can be refused is refused before the first cell is
// read. Heights stay in the raster's own CRS, so what is found here is the way from the analysis
// grid to its cells, and the numbers that make metres of them.
#include "io/raster/elevation_raster.hpp"

#include "io/gdal/open.hpp"
#include "io/georeference/geotransform.hpp"
#include "io/raster/raster_input.hpp"

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
        throw Error{Failure::input, grid.crs.name() + " is not a map grid", path,
                    "warp the raster with gdalwarp -t_srs EPSG:..."};
    const double determinant = determinant_of(grid.geotransform);
    if (!std::isfinite(determinant) || determinant == 0)
        throw Error{Failure::input, "cells without area", path,
                    "look at the geotransform with gdalinfo"};
}

Reprojection way_to(const AnalysisGrid& analysis, const Crs& crs, const std::string& path)
{
    try {
        return {crs, analysis.crs, analysis.area};
    } catch (const Error& e) {
        throw Error{Failure::input, e.what(), path,
                    "check inputs.elevation.crs and the raster's with gdalinfo"};
    }
}

LayerCrs layer_crs_of(GDALDatasetH file, const std::string& path, const Crs& crs,
                      const Crs& analysis, const CoordinateOperation& operation)
{
    const auto* srs = OGRSpatialReference::FromHandle(GDALGetSpatialRef(file));
    return {elevation_key, path, crs,
            fmt::format("{}: {} {}, {}", elevation_key, crs.name(),
                        is_known_crs(srs) ? "by the file" : "by the configuration",
                        operation.none()
                            ? "the same as the raster's"
                            : fmt::format("cells are looked up where they stand in {} {}",
                                          analysis.name(), operation.in_words())),
            operation};
}

} // namespace

ElevationRaster::ElevationRaster(const ElevationSource& source, const AnalysisGrid& analysis)
    : source_{source}
{
    const LookedAt look =
        look_at_raster({source.files(), source.band, elevation_key, "heights", source.crs});
    GDALDatasetH file = look.file.get();
    GDALRasterBandH band = look.band;
    place_ = look.place;
    require_map(place_.grid, source.path);
    const Reprojection to_analysis = way_to(analysis, place_.grid.crs, source.path);
    same_crs_ = to_analysis.operation().none();
    from_analysis_.emplace(to_analysis.inverse());
    unit_ = find_height_unit(file, band, source.unit);
    const double scale = GDALGetRasterScale(band, nullptr);
    const double offset = GDALGetRasterOffset(band, nullptr);
    if (!std::isfinite(scale) || scale == 0 || !std::isfinite(offset))
        throw Error{Failure::input,
                    fmt::format("heights of scale {} and offset {} are none", scale, offset),
                    source.path, "correct them with gdal_edit -scale ... -offset ..."};
    scale_m_ = scale * metres_in(unit_.unit);
    offset_m_ = offset * metres_in(unit_.unit);
    description_ = look.description;
    layer_crs_ =
        layer_crs_of(file, source.path, place_.grid.crs, analysis.crs, to_analysis.operation());
}

} // namespace fuelring
