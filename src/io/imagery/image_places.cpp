// SPDX-License-Identifier: Apache-2.0

// Where the cells of a grid lie in an image, and which of the image's cells have to be loaded for
// them.
#include "io/georeference/geotransform.hpp"
#include "io/imagery/image_raster.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

constexpr std::int64_t node_cells = 16; ///< between places that PROJ is asked for

} // namespace

Point ImageRaster::Reader::image_place(double col, double row) const
{
    Point p = map_of(target_->grid.geotransform(), {col, row});
    if (way_ && !way_->apply(p))
        return {std::nan(""), std::nan("")};
    return cell_of(raster_->grid().geotransform, p);
}

/// Where PROJ is asked, it is at nodes counted from the grid's own corner, so that a cell's place
/// does not depend on the window; between nodes, places are interpolated.
void ImageRaster::Reader::place(const CellRect& rect)
{
    places_.resize(static_cast<std::size_t>(rect.cols * rect.rows));
    const auto to_image = [this](double col, double row) { return image_place(col, row); };
    if (!way_) {
        for (std::int64_t r = 0; r < rect.rows; ++r)
            for (std::int64_t c = 0; c < rect.cols; ++c)
                places_[static_cast<std::size_t>(r * rect.cols + c)] =
                    to_image(static_cast<double>(rect.col + c) + 0.5,
                             static_cast<double>(rect.row + r) + 0.5);
        return;
    }
    const auto floor_to_node = [](std::int64_t v) {
        return whole(static_cast<double>(v) / static_cast<double>(node_cells));
    };
    const std::int64_t left = floor_to_node(rect.col);
    const std::int64_t top = floor_to_node(rect.row);
    const std::int64_t wide = floor_to_node(rect.col + rect.cols) - left + 2;
    const std::int64_t high = floor_to_node(rect.row + rect.rows) - top + 2;
    nodes_.resize(static_cast<std::size_t>(wide * high));
    for (std::int64_t r = 0; r < high; ++r)
        for (std::int64_t c = 0; c < wide; ++c)
            nodes_[static_cast<std::size_t>(r * wide + c)] =
                to_image(static_cast<double>((left + c) * node_cells),
                         static_cast<double>((top + r) * node_cells));
    for (std::int64_t r = 0; r < rect.rows; ++r)
        for (std::int64_t c = 0; c < rect.cols; ++c) {
            const std::int64_t nc = floor_to_node(rect.col + c);
            const std::int64_t nr = floor_to_node(rect.row + r);
            const double u = (static_cast<double>(rect.col + c - nc * node_cells) + 0.5) /
                             static_cast<double>(node_cells);
            const double v = (static_cast<double>(rect.row + r - nr * node_cells) + 0.5) /
                             static_cast<double>(node_cells);
            const Point* node = &nodes_[static_cast<std::size_t>((nr - top) * wide + nc - left)];
            const Point upper = (1 - u) * node[0] + u * node[1];
            const Point lower = (1 - u) * node[wide] + u * node[wide + 1];
            places_[static_cast<std::size_t>(r * rect.cols + c)] = (1 - v) * upper + v * lower;
        }
}

CellRect ImageRaster::Reader::window_of(std::size_t first, std::size_t last) const
{
    Box box = Box::nothing();
    for (std::size_t i = first; i < last; ++i)
        if (std::abs(places_[i].x) < far_off && std::abs(places_[i].y) < far_off)
            box.take_in(places_[i]);
    return window_around(box);
}

CellRect ImageRaster::Reader::window_around(const Box& places) const
{
    if (places.min.x > places.max.x)
        return {};
    const double margin_x = step_.x / 2 + 2;
    const double margin_y = step_.y / 2 + 2;
    const std::int64_t left = whole(places.min.x - margin_x);
    const std::int64_t top = whole(places.min.y - margin_y);
    const CellRect window{left, top, whole(places.max.x + margin_x) - left + 1,
                          whole(places.max.y + margin_y) - top + 1};
    const SourceGrid& grid = raster_->grid();
    return intersection(window, {0, 0, grid.cols, grid.rows});
}

bool ImageRaster::Reader::is_upright() const
{
    const Geotransform& image = raster_->grid().geotransform;
    const Geotransform& grid = target_->grid.geotransform();
    return !way_ && image[2] == 0 && image[4] == 0 && grid[2] == 0 && grid[4] == 0;
}

void ImageRaster::Reader::place_axes(const CellRect& rect)
{
    const double col = static_cast<double>(rect.col) + 0.5;
    const double row = static_cast<double>(rect.row) + 0.5;
    xs_.resize(static_cast<std::size_t>(rect.cols));
    for (std::size_t c = 0; c < xs_.size(); ++c)
        xs_[c] = image_place(col + static_cast<double>(c), row).x;
    ys_.resize(static_cast<std::size_t>(rect.rows));
    for (std::size_t r = 0; r < ys_.size(); ++r)
        ys_[r] = image_place(col, row + static_cast<double>(r)).y;
}

CellRect ImageRaster::Reader::window_of_axes(std::size_t first_row, std::size_t last_row) const
{
    Box box = Box::nothing();
    for (const double x : xs_)
        for (const double y : {ys_[first_row], ys_[last_row - 1]})
            if (std::abs(x) < far_off && std::abs(y) < far_off)
                box.take_in({x, y});
    return window_around(box);
}

} // namespace fuelring
