// SPDX-License-Identifier: Apache-2.0

// Tiles become one raster by their places alone: nothing is resampled, so a tile whose cells are
// not those of the first one is refused, with both names.
#include "io/raster/raster_files.hpp"

#include "io/gdal/open.hpp"
#include "io/georeference/geotransform.hpp"
#include "io/raster/band_reader.hpp"
#include "io/raster/raster_input.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

constexpr double off_the_cells = 0.01; ///< so many cells apart, tiles do not fit together

/// What all tiles have in common, as one of them says it.
struct TileFacts {
    std::string path;
    SourceGrid grid;
    std::string cells; ///< type, nodata and scale in words
};

std::string cells_in_words(GDALRasterBandH band)
{
    int has_nodata = 0, has_scale = 0, has_offset = 0;
    const double nodata = GDALGetRasterNoDataValue(band, &has_nodata);
    const double scale = GDALGetRasterScale(band, &has_scale);
    const double offset = GDALGetRasterOffset(band, &has_offset);
    std::string words = GDALGetDataTypeName(GDALGetRasterDataType(band));
    words += has_nodata ? fmt::format(", nodata {}", nodata) : ", no nodata";
    if ((has_scale && scale != 1) || (has_offset && offset != 0))
        words += fmt::format(", scale {}, offset {}", scale, offset);
    return words;
}

[[noreturn]] void differ(const TileFacts& first, const TileFacts& other, const std::string& what,
                         const std::string& of_first, const std::string& of_other,
                         const std::string& remedy)
{
    throw Error{Failure::input,
                fmt::format("tiles of one raster differ in their {}: {} here, {} in {}", what,
                            of_other, of_first, first.path),
                other.path, remedy};
}

bool same_cells(const SourceGrid& a, const SourceGrid& b)
{
    const double size = std::max(std::abs(a.geotransform[1]) + std::abs(a.geotransform[4]),
                                 std::abs(a.geotransform[2]) + std::abs(a.geotransform[5]));
    const auto span = static_cast<double>(std::max({a.cols, a.rows, b.cols, b.rows}));
    for (const std::size_t k : {1U, 2U, 4U, 5U})
        if (std::abs(a.geotransform[k] - b.geotransform[k]) * span > off_the_cells * size)
            return false;
    return true;
}

std::string cell_size(const SourceGrid& grid)
{
    const Geotransform& g = grid.geotransform;
    return fmt::format("{:g} x {:g}", std::hypot(g[1], g[4]), std::hypot(g[2], g[5]));
}

/// Where a tile lies in the grid of the first one. Throws: Error{input} where it does not fit.
CellRect place_of(const TileFacts& first, const TileFacts& tile)
{
    if (!tile.grid.crs.same_as(first.grid.crs))
        differ(first, tile, "coordinate system", first.grid.crs.name(), tile.grid.crs.name(),
               "bring them into one with gdalwarp");
    if (tile.cells != first.cells)
        differ(first, tile, "cells", first.cells, tile.cells,
               "make them alike with gdal_translate (-ot, -a_nodata)");
    if (!same_cells(first.grid, tile.grid))
        differ(first, tile, "cell size", cell_size(first.grid), cell_size(tile.grid),
               "make one raster of them with gdalwarp");
    const Point at =
        cell_of(first.grid.geotransform, {tile.grid.geotransform[0], tile.grid.geotransform[3]});
    const Point whole{std::round(at.x), std::round(at.y)};
    if (!(std::abs(at.x - whole.x) <= off_the_cells && std::abs(at.y - whole.y) <= off_the_cells) ||
        std::abs(at.x) > 1e9 || std::abs(at.y) > 1e9)
        throw Error{Failure::input,
                    fmt::format("the tile's cells do not lie on those of {}: it begins at column "
                                "{:.3f}, row {:.3f} of them",
                                first.path, at.x, at.y),
                    tile.path, "make one raster of them with gdalwarp"};
    return {static_cast<std::int64_t>(whole.x), static_cast<std::int64_t>(whole.y), tile.grid.cols,
            tile.grid.rows};
}

/// The grid of the first tile, widened to hold all; their places become places in it.
SourceGrid grid_around(const SourceGrid& first, std::vector<CellRect>& places)
{
    CellRect all;
    for (const CellRect& place : places)
        all = hull(all, place);
    SourceGrid grid = first;
    const Point corner =
        map_of(first.geotransform, {static_cast<double>(all.col), static_cast<double>(all.row)});
    if (all.col != 0 || all.row != 0) { // else bit for bit as the file has it
        grid.geotransform[0] = corner.x;
        grid.geotransform[3] = corner.y;
    }
    grid.cols = all.cols;
    grid.rows = all.rows;
    for (CellRect& place : places) {
        place.col -= all.col;
        place.row -= all.row;
    }
    return grid;
}

LookedAt look_at_file(const RasterWish& wish, const std::string& path)
{
    // Opened by itself: GCC 12 destroys a half-made aggregate twice where an initialiser throws.
    DatasetPtr file = open_input(path, InputKind::raster, wish.files.remote_allowed, wish.key);
    LookedAt look{{wish.files, wish.band, wish.key, {}}, std::move(file)};
    look.band = require_sane_band(look.file.get(), {path, wish.key, wish.contents, wish.band});
    look.place.grid = source_grid(look.file.get(), wish.crs, path, wish.key);
    look.description = describe_raster(look.file.get(), look.band);
    return look;
}

LookedAt look_at_tiles(const RasterWish& wish)
{
    LookedAt look = look_at_file(wish, wish.files.tiles.front());
    const TileFacts first{wish.files.tiles.front(), look.place.grid, cells_in_words(look.band)};
    if (determinant_of(first.grid.geotransform) == 0)
        throw Error{Failure::input, "cells without area", first.path,
                    "look at the geotransform with gdalinfo"};
    std::vector<CellRect>& places = look.place.tiles;
    places.push_back({0, 0, first.grid.cols, first.grid.rows});
    for (std::size_t k = 1; k < wish.files.tiles.size(); ++k) {
        const LookedAt tile = look_at_file(wish, wish.files.tiles[k]);
        places.push_back(
            place_of(first, {wish.files.tiles[k], tile.place.grid, cells_in_words(tile.band)}));
    }
    look.place.grid = grid_around(first.grid, places);
    for (auto at = places.begin(); at != places.end(); ++at)
        look.place.on_top.push_back(std::any_of(places.begin(), at, [&](const CellRect& below) {
            return !intersection(*at, below).empty();
        }));
    require_sane_size(look.place.grid.cols, look.place.grid.rows, wish.files.path);
    look.description = fmt::format("{} tiles, {} x {} cells together; the first: {}", places.size(),
                                   look.place.grid.cols, look.place.grid.rows, look.description);
    return look;
}

} // namespace

LookedAt look_at_raster(const RasterWish& wish)
{
    return wish.files.tiles.empty() ? look_at_file(wish, wish.files.path) : look_at_tiles(wish);
}

} // namespace fuelring
