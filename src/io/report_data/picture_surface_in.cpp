// SPDX-License-Identifier: Apache-2.0

// The part of the rasters around the structures is read in fewer, larger cells where the picture
// has not enough pixels (averages of the points, which overviews hold already; the class of the
// middle). A picture is north up; where the grid is not, each pixel takes the cell below its
// middle.
#include "change/fuel_patch.hpp"
#include "io/gdal/errors.hpp"
#include "io/gdal/open.hpp"
#include "io/raster/raster_input.hpp"
#include "io/report_data/picture_windows.hpp"
#include "io/report_data/run_picture_in.hpp"

#include <fuelring/error.hpp>
#include <fuelring/fuel_classes.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring {

namespace {

/// A window of a raster in fewer cells.
struct Reduced {
    CellRect window;
    std::int64_t cols = 0;
    std::int64_t rows = 0;

    /// Index of the reduced cell that holds a place; nothing off the window.
    std::optional<std::size_t> index(Point cell) const
    {
        const auto col = std::floor((cell.x - static_cast<double>(window.col)) *
                                    static_cast<double>(cols) / static_cast<double>(window.cols));
        const auto row = std::floor((cell.y - static_cast<double>(window.row)) *
                                    static_cast<double>(rows) / static_cast<double>(window.rows));
        if (!(col >= 0 && row >= 0 && col < static_cast<double>(cols) &&
              row < static_cast<double>(rows)))
            return std::nullopt;
        return static_cast<std::size_t>(row) * static_cast<std::size_t>(cols) +
               static_cast<std::size_t>(col);
    }
};

Reduced reduced(const CellRect& window, std::int64_t most)
{
    const double cells = static_cast<double>(window.cols) * static_cast<double>(window.rows);
    const double step = std::max(1.0, std::sqrt(cells / static_cast<double>(most)));
    const auto fewer = [step](std::int64_t n) {
        return std::max<std::int64_t>(
            1, static_cast<std::int64_t>(std::floor(static_cast<double>(n) / step)));
    };
    return {window, fewer(window.cols), fewer(window.rows)};
}

template <typename Cell>
std::vector<Cell> read_reduced(const std::filesystem::path& file, int band, const Reduced& part,
                               GDALDataType type, GDALRIOResampleAlg how)
{
    const std::string path = file.string();
    const DatasetPtr raster = open_input(path, InputKind::raster, false, "the run's rasters");
    GDALRasterBandH cells =
        require_sane_band(raster.get(), {path, "the run's rasters", "cells", band});
    std::vector<Cell> read(static_cast<std::size_t>(part.cols * part.rows));
    GDALRasterIOExtraArg how_to;
    INIT_RASTERIO_EXTRA_ARG(how_to);
    how_to.eResampleAlg = how;
    const GdalErrors errors;
    const auto n = [](std::int64_t v) { return static_cast<int>(v); };
    const CellRect& w = part.window;
    if (GDALRasterIOEx(cells, GF_Read, n(w.col), n(w.row), n(w.cols), n(w.rows), read.data(),
                       n(part.cols), n(part.rows), type, 0, 0, &how_to) != CE_None ||
        errors.failures() > 0)
        throw Error{Failure::input, "the run's raster cannot be read: " + errors.reason(), path,
                    "run fuelring map again"};
    return read;
}

} // namespace

PictureSurface read_picture_surface(const RunFolder& run, const RunPicture& picture,
                                    std::int64_t most_pixels)
{
    const Grid& grid = run.analysis.grid;
    const Box around = reach_of_picture(picture, grid);
    const CellRect window = cells_under(grid, picture, around);
    PictureSurface surface;
    surface.cell_m2 = grid.at_scale(picture.map_scale).cell_area_m2();
    surface.gain = read_gain_classes(run, picture);
    if (window.empty())
        return surface;
    const Reduced part = reduced(window, most_pixels);
    const auto points =
        read_reduced<float>(run.path / surface_file, 1, part, GDT_Float32, GRIORA_Average);
    const auto groups = read_reduced<std::uint16_t>(run.path / fuel_used_file, 2, part, GDT_UInt16,
                                                    GRIORA_NearestNeighbour);

    // Pixels as large as the reduced cells; whole cells' corners where the grid is north up.
    const auto& g = grid.geotransform();
    const bool north_up = g[2] == 0 && g[4] == 0 && g[1] > 0 && g[5] < 0;
    const CellRect& w = window;
    surface.box = north_up ? Box{grid.corner(w.col, w.row + w.rows) - picture.origin,
                                 grid.corner(w.col + w.cols, w.row) - picture.origin}
                           : around;
    surface.cols = part.cols;
    surface.rows = part.rows;
    const auto n = static_cast<std::size_t>(part.cols * part.rows);
    surface.points.assign(n, std::numeric_limits<float>::quiet_NaN());
    surface.unmapped.assign(n, 0);
    const Point size = surface.box.max - surface.box.min;
    std::size_t pixel = 0;
    for (std::int64_t row = 0; row < surface.rows; ++row)
        for (std::int64_t col = 0; col < surface.cols; ++col, ++pixel) {
            const Point middle{surface.box.min.x + (static_cast<double>(col) + 0.5) * size.x /
                                                       static_cast<double>(surface.cols),
                               surface.box.max.y - (static_cast<double>(row) + 0.5) * size.y /
                                                       static_cast<double>(surface.rows)};
            if (const auto from = part.index(grid.cell_of(picture.origin + middle))) {
                surface.points[pixel] = points[*from];
                surface.unmapped[pixel] =
                    groups[*from] == static_cast<std::uint16_t>(FuelGroup::unmapped) ? 1 : 0;
            }
        }
    return surface;
}

} // namespace fuelring
