// SPDX-License-Identifier: Apache-2.0
#include "io/imagery/image_raster.hpp"

#include "io/gdal/open.hpp"
#include "io/georeference/geotransform.hpp"
#include "io/raster/raster_input.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <cmath>

namespace fuelring {

namespace {

/// "4 bands, but 3 roles".
void require_roles(GDALDatasetH file, const ImageSource& source)
{
    const auto bands = static_cast<std::size_t>(GDALGetRasterCount(file));
    const std::size_t roles = source.bands.roles.size();
    if (bands == roles)
        return;
    throw Error{Failure::input,
                fmt::format("the image has {} band{}, but {} gives {} role{}", bands,
                            bands == 1 ? "" : "s", source.key, roles, roles == 1 ? "" : "s"),
                source.files.tiles.empty() ? source.files.path : source.files.tiles.front(),
                "give one role for each band, in the order of the file; \"other\" for one that is "
                "none of them"};
}

} // namespace

ImageRaster::ImageRaster(const ImageSource& source) : source_{source}
{
    const LookedAt look = look_at_raster({source.files, 1, source.key, "values", source.crs});
    require_roles(look.file.get(), source);
    description_ = look.description;
    for (std::size_t k = 0; k < source.bands.roles.size(); ++k) {
        require_sane_band(look.file.get(),
                          {look.place.first_file(), source.key, "values", static_cast<int>(k + 1)});
        places_.push_back(look.place);
        places_.back().band = static_cast<int>(k + 1);
    }
    const double area = std::abs(determinant_of(grid().geotransform));
    if (!std::isfinite(area) || area == 0)
        throw Error{Failure::input, "cells without area", source.files.path,
                    "look at the geotransform with gdalinfo"};
}

double ImageRaster::cell_size() const
{
    return std::sqrt(std::abs(determinant_of(grid().geotransform)));
}

std::vector<Box> ImageRaster::boxes() const
{
    const SourceGrid& g = grid();
    if (!places_.front().is_mosaic())
        return {box_of(g.geotransform, static_cast<double>(g.cols), static_cast<double>(g.rows))};
    std::vector<Box> boxes;
    for (const CellRect& tile : places_.front().tiles) {
        Geotransform at = g.geotransform;
        const Point corner =
            map_of(at, {static_cast<double>(tile.col), static_cast<double>(tile.row)});
        at[0] = corner.x;
        at[3] = corner.y;
        boxes.push_back(box_of(at, static_cast<double>(tile.cols), static_cast<double>(tile.rows)));
    }
    return boxes;
}

} // namespace fuelring
