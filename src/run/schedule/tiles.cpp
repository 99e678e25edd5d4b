// SPDX-License-Identifier: Apache-2.0

// An index is one list of structures sorted by tile, and the stretch of it that belongs to each
// tile: two flat arrays, whatever the extent, for millions of structures on a raster that may be
// mostly empty.
#include "run/schedule/tiles.hpp"

#include "geometry/box_distance.hpp"

#include <fuelring/outline.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>
#include <utility>

namespace fuelring {

namespace {

constexpr std::int64_t tile_margin_cells = 2;

/// The number of a tile in 32 bits, of which there are millions; places this far off all rasters
/// may share one.
std::int32_t short_number(std::int64_t tile)
{
    constexpr std::int64_t most = std::numeric_limits<std::int32_t>::max();
    return static_cast<std::int32_t>(std::clamp(tile, -most, most));
}

} // namespace

CellRect reach_of(const Structure& structure, const Grid& grid, double widest_m, double moved_m)
{
    const Box box = bounds(structure.footprint);
    Box reach = reach_around(widest_m, structure.stretch);
    const Point moved{moved_m, moved_m};
    reach = {reach.min - moved, reach.max + moved};
    const CellRect r = grid.at_scale(structure.map_scale)
                           .cells_of(structure.frame, {box.min + reach.min, box.max + reach.max});
    return widened(r, tile_margin_cells);
}

CellRect cells_of_tile(std::int64_t row, std::int64_t col, int tile_cells, const Grid& grid)
{
    return intersection({col * tile_cells, row * tile_cells, tile_cells, tile_cells},
                        grid.extent());
}

Box box_of_cells(std::int64_t row, std::int64_t col, std::int64_t cols, const CellFrame& frame,
                 const Grid& ground)
{
    const double w = ground.cell_width_m();
    const double h = ground.cell_height_m();
    const auto x = static_cast<double>(col - frame.col);
    const auto y = static_cast<double>(frame.row - row);
    return {{x * w, (y - 1) * h}, {(x + static_cast<double>(cols)) * w, y * h}};
}

double squared_distance(const Footprint& footprint, const Box& box)
{
    double least = HUGE_VAL;
    for (const Loop& loop : footprint.loops)
        for (std::size_t k = 0; k < loop.size(); ++k)
            least = std::min(least, squared_distance(loop[k], loop[(k + 1) % loop.size()], box));
    return least;
}

bool reaches(const Structure& structure, const Grid& grid, double widest_m)
{
    return !intersection(reach_of(structure, grid, widest_m), grid.extent()).empty();
}

TileIndex TileIndex::of_owners(const Community& community, int tile_cells,
                               const std::vector<bool>* only)
{
    std::vector<Entry> entries;
    entries.reserve(community.structures.size());
    for (std::size_t i = 0; i < community.structures.size(); ++i) {
        if (only && !(*only)[i])
            continue;
        const CellFrame& frame = community.structures[i].frame;
        entries.push_back({short_number(floor_div(frame.row, tile_cells)),
                           short_number(floor_div(frame.col, tile_cells)),
                           static_cast<std::uint32_t>(i)});
    }
    return TileIndex{std::move(entries)};
}

template <typename Reach>
TileIndex TileIndex::of_rects(const Community& community, int tile_cells, Reach&& reach)
{
    std::vector<Entry> entries;
    for (std::size_t i = 0; i < community.structures.size(); ++i) {
        const CellRect r = reach(community.structures[i]);
        if (r.empty())
            continue;
        const std::int64_t last_row = floor_div(r.row + r.rows - 1, tile_cells);
        const std::int64_t last_col = floor_div(r.col + r.cols - 1, tile_cells);
        for (std::int64_t row = floor_div(r.row, tile_cells); row <= last_row; ++row)
            for (std::int64_t col = floor_div(r.col, tile_cells); col <= last_col; ++col)
                entries.push_back(
                    {short_number(row), short_number(col), static_cast<std::uint32_t>(i)});
    }
    return TileIndex{std::move(entries)};
}

TileIndex TileIndex::of_reach(const Community& community, const Grid& grid, int tile_cells,
                              double widest_m)
{
    return of_rects(community, tile_cells, [&](const Structure& s) {
        return intersection(reach_of(s, grid, widest_m), grid.extent());
    });
}

TileIndex TileIndex::of_whole_reach(const Community& community, const Grid& grid, int tile_cells,
                                    double widest_m)
{
    return of_rects(community, tile_cells,
                    [&](const Structure& s) { return reach_of(s, grid, widest_m); });
}

const TileIndex::Tile* TileIndex::find(std::int64_t row, std::int64_t col) const
{
    const auto at = std::lower_bound(tiles_.begin(), tiles_.end(), std::pair{row, col},
                                     [](const Tile& t, const auto& key) {
                                         return std::pair{t.row, t.col} < key;
                                     });
    return at != tiles_.end() && at->row == row && at->col == col ? &*at : nullptr;
}

TileIndex::TileIndex(std::vector<Entry> entries)
{
    std::sort(entries.begin(), entries.end(), [](const Entry& a, const Entry& b) {
        return std::tie(a.row, a.col, a.structure) < std::tie(b.row, b.col, b.structure);
    });
    structures_.reserve(entries.size());
    for (const Entry& e : entries) {
        if (tiles_.empty() || tiles_.back().row != e.row || tiles_.back().col != e.col)
            tiles_.push_back({e.col, e.row, structures_.size(), 0});
        structures_.push_back(e.structure);
        ++tiles_.back().count;
    }
}

} // namespace fuelring
