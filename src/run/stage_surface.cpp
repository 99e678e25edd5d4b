// SPDX-License-Identifier: Apache-2.0
//
// The surface: output blocks in parallel, a bounded number in flight. Each block takes in every
// structure whose widest ring may touch it, and is complete when its task ends: nothing is carried
// from block to block, and a block's integers do not depend on who adds them or when.

#include "run/parallel.hpp"
#include "run/stages.hpp"
#include "run/tiles.hpp"

#include <fuelring/surface.hpp>

#include <cmath>
#include <limits>

namespace fuelring {

namespace {

constexpr std::uint16_t no_value = 65535; ///< nodata of both bands of fuel_used.tif
constexpr std::size_t block_size = static_cast<std::size_t>(out_block_cells) * out_block_cells;

struct Worker {
    explicit Worker(const FuelRaster& raster) : reader(raster), cells(block_size) {}
    FuelRaster::Reader reader;
    std::vector<ClassIndex> cells;
    WorkTimes times;
};

/// What one block holds, in the order in which the files want it.
struct Block {
    std::vector<float> priority = std::vector<float>(block_size);
    std::vector<std::uint16_t> share = std::vector<std::uint16_t>(block_size);
    std::vector<std::uint16_t> group = std::vector<std::uint16_t>(block_size);
    bool any = false;
};

SurfaceTotals operator+(SurfaceTotals a, const SurfaceTotals& b)
{
    a.points += b.points;
    a.cells += b.cells;
    a.unmapped += b.unmapped;
    a.cells_of_class.resize(std::max(a.cells_of_class.size(), b.cells_of_class.size()));
    for (std::size_t i = 0; i < b.cells_of_class.size(); ++i)
        a.cells_of_class[i] += b.cells_of_class[i];
    return a;
}

/// Reads one cell of the finished tile into the block's three layers.
void fill_cell(const SurfaceTile& tile, std::int64_t row, std::int64_t col, ClassIndex cell,
               const FuelClass& fuel, std::size_t at, Block& block, SurfaceTotals& totals)
{
    if (!tile.reached(row, col))
        return;
    const bool mapped = fuel.group != FuelGroup::unmapped;
    block.any = true;
    block.group[at] = static_cast<std::uint16_t>(fuel.group);
    block.share[at] = mapped ? static_cast<std::uint16_t>(fuel.conifer_share) : no_value;
    if (!tile.ring_reaches(row, col))
        return;
    ++totals.cells;
    ++totals.cells_of_class[cell];
    if (!mapped) {
        ++totals.unmapped;
        return;
    }
    const double points = tile.points(row, col) * fuel.conifer_share / whole_share;
    block.priority[at] = static_cast<float>(points);
    totals.points += points;
}

SurfaceTotals fill_block(const SurfaceTile& tile, const FuelClassTable& classes,
                         const std::vector<ClassIndex>& cells, Block& block)
{
    std::fill(block.priority.begin(), block.priority.end(),
              std::numeric_limits<float>::quiet_NaN());
    std::fill(block.share.begin(), block.share.end(), no_value);
    std::fill(block.group.begin(), block.group.end(), no_value);
    block.any = false;
    SurfaceTotals totals;
    totals.cells_of_class.resize(classes.rows().size());
    const CellRect& rect = tile.rect();
    for (std::int64_t r = 0; r < rect.rows; ++r)
        for (std::int64_t c = 0; c < rect.cols; ++c) {
            const ClassIndex cell = cells[static_cast<std::size_t>(r * rect.cols + c)];
            fill_cell(tile, rect.row + r, rect.col + c, cell, classes[cell],
                      static_cast<std::size_t>(r * out_block_cells + c), block, totals);
        }
    return totals;
}

} // namespace

SurfaceTotals spread_surface(const StageContext& context,
                             const std::vector<StructureResult>& results, RasterOut& priority,
                             RasterOut& fuel_used, WorkTimes& times)
{
    const Grid& grid = context.raster.grid();
    const RingPlan& plan = context.config.rings;
    const TileIndex index =
        TileIndex::of_reach(context.community, grid, out_block_cells, plan.widest_m());
    std::vector<SurfaceTotals> totals(index.tiles().size()); // summed in order, for the same bits
    for_each_in_parallel<Worker>(
        context.jobs, index.tiles().size(), [&] { return Worker{context.raster}; },
        [&](Worker& worker, std::size_t t) {
            context.check_cancelled();
            const TileIndex::Tile& place = index.tiles()[t];
            SurfaceTile tile{intersection({place.col * out_block_cells, place.row * out_block_cells,
                                           out_block_cells, out_block_cells},
                                          grid.extent()),
                             grid};
            for (const std::uint32_t i : index.structures(place)) {
                const Structure& s = context.community.structures[i];
                const Stopwatch outline{worker.times.outlines_s};
                const RingOutlines outlines = ring_outlines(s.footprint, plan);
                outline.stop();
                const Stopwatch transpose{worker.times.transpose_s};
                tile.add(outlines, s.frame, points_per_m2(results[i].measure, plan));
            }
            {
                const Stopwatch read{worker.times.read_s};
                worker.cells.resize(static_cast<std::size_t>(tile.rect().rows * tile.rect().cols));
                worker.reader.read(tile.rect(), worker.cells);
            }
            Block block;
            {
                const Stopwatch transpose{worker.times.transpose_s};
                tile.finish();
                totals[t] = fill_block(tile, context.raster.classes(), worker.cells, block);
            }
            const Stopwatch write{worker.times.write_s};
            if (block.any) {
                priority.put(place.col, place.row, block.priority);
                fuel_used.put(place.col, place.row, block.share, block.group);
            }
            context.progress.advance(static_cast<std::int64_t>(place.count) / 2 + 1);
        },
        [&](const Worker& worker) { times += worker.times; });
    SurfaceTotals sum;
    sum.cells_of_class.resize(context.raster.classes().rows().size());
    for (const SurfaceTotals& t : totals)
        sum = sum + t;
    return sum;
}

} // namespace fuelring
