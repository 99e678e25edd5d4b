// SPDX-License-Identifier: Apache-2.0
#include "tools/paint.hpp"

#include "tools/random.hpp"

#include <algorithm>

namespace community {
namespace {

constexpr std::uint64_t edge_seed = 0xed6e;

/// The part of the canvas that a box may touch; empty where last < first.
struct Cells {
    int first_row, last_row, first_col, last_col;
};

Cells cells_in(const Box& box, const Canvas& canvas)
{
    const auto clamped = [](double value, int count) {
        return static_cast<int>(std::clamp(std::floor(value), -1.0, static_cast<double>(count)));
    };
    return {
        std::max(0, clamped((canvas.north - box.north) / canvas.cell_m, canvas.rows)),
        std::min(canvas.rows - 1, clamped((canvas.north - box.south) / canvas.cell_m, canvas.rows)),
        std::max(0, clamped((box.west - canvas.west) / canvas.cell_m, canvas.cols)),
        std::min(canvas.cols - 1, clamped((box.east - canvas.west) / canvas.cell_m, canvas.cols))};
}

void put(const Paint& paint, std::uint8_t& cell)
{
    const bool wood = cell == conifer_stand || cell == mixed_stand || cell == lone_conifer;
    if (!paint.only_on_wood || wood)
        cell = paint.code;
}

/// x where the rings cross the line of height y, sorted.
std::vector<double> crossings(const Polygon& area, double y)
{
    std::vector<double> xs;
    for (const Ring& ring : area)
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const Point a = ring[i], b = ring[(i + 1) % ring.size()];
            if ((a.y > y) != (b.y > y))
                xs.push_back(a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y));
        }
    std::sort(xs.begin(), xs.end());
    return xs;
}

void fill_area(const Paint& paint, const Cells& cells, Canvas& canvas)
{
    for (int row = cells.first_row; row <= cells.last_row; ++row) {
        const std::vector<double> xs = crossings(paint.area, canvas.center(row, 0).y);
        for (std::size_t i = 0; i + 1 < xs.size(); i += 2) {
            const auto to_col = [&](double x) {
                return static_cast<int>(std::ceil((x - canvas.west) / canvas.cell_m - 0.5));
            };
            const int last = std::min(cells.last_col, to_col(xs[i + 1]) - 1);
            for (int col = std::max(cells.first_col, to_col(xs[i])); col <= last; ++col)
                put(paint, canvas.at(row, col));
        }
    }
}

void stroke_segment(const Paint& paint, Point a, Point b, Canvas& canvas)
{
    const Box box = box_of(Ring{a, b}).grown(paint.half_width_m * (1 + paint.roughness));
    const Cells cells = cells_in(box, canvas);
    const double ripple_m = std::max(2.0, paint.half_width_m * 0.6);
    for (int row = cells.first_row; row <= cells.last_row; ++row)
        for (int col = cells.first_col; col <= cells.last_col; ++col) {
            const Point p = canvas.center(row, col);
            double reach_m = paint.half_width_m;
            if (paint.roughness > 0)
                reach_m *= 1 + paint.roughness *
                                   (2 * noise(edge_seed, p.x / ripple_m, p.y / ripple_m) - 1);
            if (distance_to_segment(p, a, b) <= reach_m)
                put(paint, canvas.at(row, col));
        }
}

void paint_one(const Paint& paint, Canvas& canvas)
{
    const Box box = box_of(paint);
    if (!box.meets(canvas.box()))
        return;
    if (!paint.area.empty())
        fill_area(paint, cells_in(box, canvas), canvas);
    else if (paint.line.size() == 1)
        stroke_segment(paint, paint.line[0], paint.line[0], canvas);
    else
        for (std::size_t i = 0; i + 1 < paint.line.size(); ++i)
            stroke_segment(paint, paint.line[i], paint.line[i + 1], canvas);
}

} // namespace

Box box_of(const Paint& paint)
{
    if (!paint.area.empty())
        return box_of(paint.area[0]);
    return box_of(paint.line).grown(paint.half_width_m * (1 + paint.roughness));
}

void paint_all(const std::vector<Paint>& paints, Epoch epoch, Canvas& canvas)
{
    std::vector<const Paint*> order;
    for (const Paint& paint : paints)
        if (epoch == Epoch::now ? paint.now : paint.later)
            order.push_back(&paint);
    std::stable_sort(order.begin(), order.end(),
                     [](const Paint* a, const Paint* b) { return a->layer < b->layer; });
    for (const Paint* paint : order)
        paint_one(*paint, canvas);
}

} // namespace community
