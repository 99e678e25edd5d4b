// SPDX-License-Identifier: Apache-2.0

// Drawing in parallel: every block of change.tif looks for the least numbers among its own cells,
// in order, and asks of each whether its spot counts. What another block has already outdone is
// not looked at; that saves work and changes nothing, since the least numbers of all are wanted.
#include "run/compare/reference_draw.hpp"

#include "run/schedule/parallel.hpp"
#include "run/schedule/tiles.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <functional>
#include <mutex>

namespace fuelring {

namespace {

/// The least numbers of every class, from any thread.
class Draw {
public:
    explicit Draw(const std::array<std::int64_t, drawn_classes>& wanted)
    {
        for (std::size_t c = 0; c < drawn_classes; ++c)
            least_[c] = LeastNumbers{static_cast<std::size_t>(wanted[c])};
    }
    std::size_t wanted(std::size_t c) const { return least_[c].wanted(); }
    std::uint64_t bound(std::size_t c)
    {
        const std::lock_guard lock{mutex_};
        return least_[c].bound();
    }
    void offer(std::size_t c, std::span<const DrawnCell> cells)
    {
        const std::lock_guard lock{mutex_};
        least_[c].offer(cells);
    }
    const std::vector<DrawnCell>& cells(std::size_t c) const { return least_[c].cells(); }

private:
    std::mutex mutex_;
    std::array<LeastNumbers, drawn_classes> least_;
};

Point spot_on_grid(const DrawnCell& cell, const Grid& grid)
{
    const Point in_cell = spot_in_cell(cell.number);
    return {(static_cast<double>(cell.col) + in_cell.x) * grid.cell_width_m(),
            -(static_cast<double>(cell.row) + in_cell.y) * grid.cell_height_m()};
}

struct DrawWorker {
    DrawWorker(const ChangeContext& context, const StructureIndex& members)
        : fuel{context.before, context.analysis, context.after_fuel}, places{context, members}
    {}
    ComparedFuel fuel;
    SpotPlaces places;
};

/// Cells of a block by class, those that are still wanted.
std::array<std::vector<DrawnCell>, drawn_classes>
candidates(const CellRect& rect, const CellChanges& changes, std::uint64_t seed, Draw& draw)
{
    std::array<std::uint64_t, drawn_classes> bound{};
    for (std::size_t c = 0; c < drawn_classes; ++c)
        bound[c] = draw.bound(c);
    std::array<std::vector<DrawnCell>, drawn_classes> cells;
    std::size_t at = 0;
    for (std::int64_t row = rect.row; row < rect.row + rect.rows; ++row)
        for (std::int64_t col = rect.col; col < rect.col + rect.cols; ++col, ++at) {
            const std::uint16_t kind = changes.kind[at];
            if (kind < 1 || kind > drawn_classes || draw.wanted(kind - 1U) == 0)
                continue;
            const std::uint64_t number = number_of_cell(seed, row, col);
            if (number <= bound[kind - 1U])
                cells[kind - 1U].push_back({number, row, col});
        }
    return cells;
}

/// The least of them whose spots count, at most `wanted`.
std::vector<DrawnCell> least_inside(std::vector<DrawnCell> cells, std::size_t wanted,
                                    std::size_t distance, const SpotPlaces& places,
                                    const Grid& grid)
{
    std::vector<DrawnCell> inside;
    std::make_heap(cells.begin(), cells.end(), std::greater<>{});
    for (auto end = cells.end(); end != cells.begin() && inside.size() < wanted; --end) {
        std::pop_heap(cells.begin(), end, std::greater<>{});
        const SpotPlace::Ring ring = places.place_of(spot_on_grid(*(end - 1), grid)).ring;
        if (ring && *ring >= 1 && *ring <= distance + 1)
            inside.push_back(*(end - 1));
    }
    return inside;
}

std::vector<DrawnPoint> points_of(const Draw& draw, const Grid& grid)
{
    std::vector<std::pair<DrawnCell, std::size_t>> all;
    for (std::size_t c = 0; c < drawn_classes; ++c)
        for (const DrawnCell& cell : draw.cells(c))
            all.emplace_back(cell, c);
    std::sort(all.begin(), all.end());
    std::vector<DrawnPoint> points;
    for (const auto& [cell, map_class] : all)
        points.push_back({static_cast<std::int64_t>(points.size()) + 1, map_class,
                          grid.to_map(CellFrame{0, 0}, spot_on_grid(cell, grid))});
    return points;
}

} // namespace

std::size_t drawn_distance(const DrawWish& wish, const CommonRings& rings)
{
    const std::vector<double>& outer_m = rings.plan.outer_m;
    if (!wish.within_m)
        return outer_m.size() - 1;
    const auto at = std::find(outer_m.begin(), outer_m.end(), *wish.within_m);
    if (at == outer_m.end())
        throw Error{Failure::usage,
                    fmt::format("{:g} m is no distance of both runs: they have {}", *wish.within_m,
                                fmt::join(outer_m, ", ")),
                    "--draw-within", "name one of them"};
    return static_cast<std::size_t>(at - outer_m.begin());
}

const ChangeArea& drawn_ground(const std::vector<ChangeRow>& rows, std::size_t distance)
{
    const auto row = std::find_if(rows.begin(), rows.end(), [distance](const ChangeRow& r) {
        return r.scope == ChangeScope::community && r.within && r.distance == distance;
    });
    return row->area;
}

std::vector<DrawnPoint> draw_points(const ChangeContext& context, const DrawWish& wish,
                                    std::size_t distance, const ChangeArea& ground)
{
    Draw draw{points_by_class(ground.class_m2, wish.points)};
    const StructureIndex members = index_of_members(context);
    const TileIndex index = TileIndex::of_reach(context.members, context.grid(), out_block_cells,
                                                context.rings.plan.outer_m[distance]);
    for_each_in_parallel<DrawWorker>(
        context.jobs, index.tiles().size(),
        [&] {
            return DrawWorker{context, members};
        },
        [&](DrawWorker& worker, std::size_t t) {
            context.check_cancelled();
            const TileIndex::Tile& tile = index.tiles()[t];
            const CellRect rect =
                cells_of_tile(tile.row, tile.col, out_block_cells, context.grid());
            auto cells = candidates(rect, worker.fuel.changes(rect), wish.seed, draw);
            for (std::size_t c = 0; c < drawn_classes; ++c)
                draw.offer(c, least_inside(std::move(cells[c]), draw.wanted(c), distance,
                                           worker.places, context.grid()));
        },
        [](const DrawWorker&) {});
    return points_of(draw, context.grid());
}

} // namespace fuelring
