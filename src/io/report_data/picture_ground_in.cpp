// SPDX-License-Identifier: Apache-2.0

// The cells that an area drawn on the page is measured by, read in strips of rows and summed over
// squares where there are more cells than a page can hold; and the classes of the surface, which
// are found over all of its cells, whatever the picture shows of them.
#include "change/fuel_patch.hpp"
#include "io/gdal/open.hpp"
#include "io/gdal/reprojection.hpp"
#include "io/raster/band_reader.hpp"
#include "io/raster/raster_input.hpp"
#include "io/report_data/picture_windows.hpp"
#include "io/report_data/run_picture_in.hpp"
#include "io/run_folder/fuel_used_in.hpp"

#include <fuelring/fuel_classes.hpp>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

constexpr std::int64_t strip_rows = 256;

/// Calls visit(strip) for strips of a window from its top.
template <typename Visit>
void for_each_strip(const CellRect& window, Visit&& visit)
{
    for (std::int64_t row = 0; row < window.rows; row += strip_rows)
        visit(CellRect{window.col, window.row + row, window.cols,
                       std::min(strip_rows, window.rows - row)});
}

/// priority.tif of a run, read window by window.
class Surface {
public:
    explicit Surface(const RunFolder& run)
        : path_((run.path / surface_file).string()),
          file_(open_input(path_, InputKind::raster, false, "the run's rasters")),
          cells_(require_sane_band(file_.get(), {path_, "the run's rasters", "cells", 1}), path_)
    {}

    const std::vector<float>& read(const CellRect& rect)
    {
        values_.resize(static_cast<std::size_t>(rect.cols * rect.rows));
        cells_.read(rect, values_.data(), GDT_Float32);
        return values_;
    }

private:
    std::string path_;
    DatasetPtr file_;
    BandReader cells_;
    std::vector<float> values_;
};

PictureSquares squares_over(const CellRect& window, std::int64_t most)
{
    PictureSquares squares;
    const auto fewer = [&](std::int64_t n) { return (n + squares.side - 1) / squares.side; };
    while (fewer(window.cols) * fewer(window.rows) > most)
        squares.side *= 2;
    squares.cols = fewer(window.cols);
    squares.rows = fewer(window.rows);
    squares.values.assign(static_cast<std::size_t>(squares.cols * squares.rows), 0);
    return squares;
}

/// The value of the square that holds a cell, which is the `k`th of a strip.
float& square_of(PictureSquares& squares, const CellRect& window, const CellRect& strip,
                 std::size_t k)
{
    const std::int64_t row = strip.row - window.row + static_cast<std::int64_t>(k) / strip.cols;
    const std::int64_t col = static_cast<std::int64_t>(k) % strip.cols;
    return squares
        .values[static_cast<std::size_t>(row / squares.side * squares.cols + col / squares.side)];
}

/// Column and row of the picture's points in a window: an affine map, found from three of them.
std::array<double, 6> to_cells_of(const Grid& grid, const RunPicture& picture, const Box& box,
                                  const CellRect& window)
{
    const Point step = box.max - box.min;
    const Point at = grid.cell_of(picture.origin + box.min);
    const Point along_x = grid.cell_of(picture.origin + box.min + Point{step.x, 0}) - at;
    const Point along_y = grid.cell_of(picture.origin + box.min + Point{0, step.y}) - at;
    const double cx = along_x.x / step.x, cy = along_y.x / step.y;
    const double rx = along_x.y / step.x, ry = along_y.y / step.y;
    return {at.x - static_cast<double>(window.col) - cx * box.min.x - cy * box.min.y, cx, cy,
            at.y - static_cast<double>(window.row) - rx * box.min.x - ry * box.min.y, rx, ry};
}

} // namespace

std::vector<GainClass> read_gain_classes(const RunFolder& run, const RunPicture& picture)
{
    const CellRect window = cells_under(run.analysis.grid, picture, reach_of_all(picture));
    GainHistogram histogram;
    Surface surface{run};
    for_each_strip(window, [&](const CellRect& strip) {
        for (const float points : surface.read(strip))
            histogram.add(points);
    });
    return histogram.classes();
}

PictureGround read_picture_ground(const RunFolder& run, const RunPicture& picture,
                                  std::int64_t most_squares)
{
    const Grid& grid = run.analysis.grid;
    const Box around = reach_of_picture(picture, grid);
    const CellRect window = cells_under(grid, picture, around);
    PictureGround ground;
    ground.cell_m2 = grid.at_scale(picture.map_scale).cell_area_m2();
    if (window.empty())
        return ground;
    ground.to_cells = to_cells_of(grid, picture, around, window);
    ground.points = squares_over(window, most_squares);
    ground.conifer = squares_over(window, most_squares);
    Surface surface{run};
    FuelUsed fuel{run.file(fuel_used_file)};
    for_each_strip(window, [&](const CellRect& strip) {
        const std::vector<float>& points = surface.read(strip);
        const FuelPatch patch = fuel.read(strip);
        for (std::size_t k = 0; k < points.size(); ++k) {
            if (points[k] > 0)
                square_of(ground.points, window, strip, k) += points[k];
            if (patch.group[k] != FuelPatch::never_reached &&
                patch.share[k] != FuelPatch::unknown_share && patch.share[k] > 0)
                square_of(ground.conifer, window, strip, k) +=
                    static_cast<float>(patch.share[k]) / static_cast<float>(whole_share);
        }
    });
    return ground;
}

PictureDegrees read_picture_degrees(const RunFolder& run, const RunPicture& picture)
{
    PictureDegrees degrees{reach_of_picture(picture, run.analysis.grid), {}};
    const Reprojection to_degrees{run.analysis.crs, Crs::wgs84(), run.analysis.area};
    const Box& box = degrees.box;
    for (int j = 0; j < PictureDegrees::nodes; ++j)
        for (int i = 0; i < PictureDegrees::nodes; ++i) {
            const auto part = [](int k) { return k / (PictureDegrees::nodes - 1.0); };
            Point p = picture.origin + Point{std::lerp(box.min.x, box.max.x, part(i)),
                                             std::lerp(box.min.y, box.max.y, part(j))};
            if (!to_degrees.apply(p))
                return {};
            degrees.lonlat.push_back(p);
        }
    return degrees;
}

} // namespace fuelring
