// SPDX-License-Identifier: Apache-2.0
#include "io/report_data/picture_windows.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

/// Around what is measured and the other structures that stand on the raster, whose unmapped ground
/// is shown too; not around those off it.
Box box_on_raster(const RunPicture& picture, const Grid& grid)
{
    const CellRect extent = grid.extent();
    Box box = picture.box;
    for (const PictureShape& shape : picture.structures.shapes)
        for (const Loop& loop : shape)
            for (const Point p : loop) {
                const Point cell = grid.cell_of(picture.origin + p);
                if (!(cell.x >= 0 && cell.y >= 0 && cell.x <= static_cast<double>(extent.cols) &&
                      cell.y <= static_cast<double>(extent.rows)))
                    continue;
                box.min = {std::min(box.min.x, p.x), std::min(box.min.y, p.y)};
                box.max = {std::max(box.max.x, p.x), std::max(box.max.y, p.y)};
            }
    return box;
}

Box with_reach(const RunPicture& picture, const Box& box)
{
    const LocalScale scale = picture.map_scale;
    const Point reach{picture.rings.widest_m() * scale.x, picture.rings.widest_m() * scale.y};
    return {box.min - reach, box.max + reach};
}

} // namespace

CellRect cells_under(const Grid& grid, const RunPicture& picture, const Box& box)
{
    const Box map{picture.origin + box.min, picture.origin + box.max};
    Box cells{{HUGE_VAL, HUGE_VAL}, {-HUGE_VAL, -HUGE_VAL}};
    for (const Point corner :
         {map.min, map.max, Point{map.min.x, map.max.y}, Point{map.max.x, map.min.y}}) {
        const Point c = grid.cell_of(corner);
        cells.min = {std::min(cells.min.x, c.x), std::min(cells.min.y, c.y)};
        cells.max = {std::max(cells.max.x, c.x), std::max(cells.max.y, c.y)};
    }
    const auto whole = [](double v) { return static_cast<std::int64_t>(v); };
    const CellRect rect{whole(std::floor(cells.min.x)), whole(std::floor(cells.min.y)),
                        whole(std::ceil(cells.max.x) - std::floor(cells.min.x)),
                        whole(std::ceil(cells.max.y) - std::floor(cells.min.y))};
    return intersection(rect, grid.extent());
}

Box reach_of_picture(const RunPicture& picture, const Grid& grid)
{
    return with_reach(picture, box_on_raster(picture, grid));
}

Box reach_of_all(const RunPicture& picture)
{
    Box box = picture.box;
    for (const PictureShape& shape : picture.structures.shapes)
        for (const Loop& loop : shape)
            for (const Point p : loop)
                box.take_in(p);
    return with_reach(picture, box);
}

} // namespace fuelring
