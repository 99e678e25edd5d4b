// SPDX-License-Identifier: Apache-2.0

// The surface: output blocks in parallel, a bounded number in flight. Each block takes in every
// structure whose widest ring may touch it, and is complete when its task ends: nothing is carried
// from block to block, and a block's integers do not depend on who adds them or when.

#include "io/cog/cog_writer.hpp"
#include "run/cache/result_cache.hpp"
#include "run/schedule/parallel.hpp"
#include "run/schedule/shard_plan.hpp"
#include "run/schedule/tiles.hpp"
#include "run/stages/stage_phases.hpp"
#include "run/stages/stages.hpp"

#include <fuelring/surface.hpp>

#include <algorithm>
#include <limits>

namespace fuelring {

namespace {

constexpr std::size_t block_size = static_cast<std::size_t>(out_block_cells) * out_block_cells;

/// What one block holds, in the order in which the files want it.
struct SurfaceBlock {
    std::vector<float> priority = std::vector<float>(block_size);
    std::vector<std::uint16_t> share = std::vector<std::uint16_t>(block_size);
    std::vector<std::uint16_t> group = std::vector<std::uint16_t>(block_size);
    bool any = false;

    void clear()
    {
        std::fill(priority.begin(), priority.end(), std::numeric_limits<float>::quiet_NaN());
        std::fill(share.begin(), share.end(), no_data_16);
        std::fill(group.begin(), group.end(), no_data_16);
        any = false;
    }
};

/// What the files say of a cell, by its class.
struct ClassFacts {
    std::uint16_t group = 0;
    std::uint16_t share = no_data_16; ///< ten-thousandths
    double share_frac = 0;
    bool mapped = false;
};

std::vector<ClassFacts> facts_of(const FuelClassTable& classes)
{
    std::vector<ClassFacts> facts;
    for (const FuelClass& c : classes.rows()) {
        ClassFacts f{static_cast<std::uint16_t>(c.group)};
        f.mapped = c.group != FuelGroup::unmapped;
        if (f.mapped) {
            f.share = static_cast<std::uint16_t>(c.conifer_share);
            f.share_frac = static_cast<double>(c.conifer_share) / whole_share;
        }
        facts.push_back(f);
    }
    return facts;
}

/// What one worker keeps from block to block.
struct SurfaceWorker {
    explicit SurfaceWorker(const FuelRaster& raster)
        : reader(raster), facts(facts_of(raster.classes())), cells(block_size)
    {}
    FuelRaster::Reader reader;
    std::vector<ClassFacts> facts;
    std::vector<ClassIndex> cells;
    SurfaceTile tile;
    SurfaceBlock block;
    WorkTimes times;
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

class BlockTask {
public:
    BlockTask(const StageContext& context, const std::vector<StructureResult>& results,
              SurfaceWorker& worker)
        : context_(context), results_(results), worker_(worker)
    {}

    /// Computes the block at `rect`; the worker's block then holds what the files get.
    SurfaceTotals run(const CellRect& rect, std::span<const std::uint32_t> structures)
    {
        worker_.tile.begin(rect);
        for (const std::uint32_t i : structures)
            add(i);
        {
            const Stopwatch read{worker_.times[WorkKind::read]};
            worker_.cells.resize(static_cast<std::size_t>(rect.rows * rect.cols));
            worker_.reader.read(rect, worker_.cells);
        }
        const Stopwatch transpose{worker_.times[WorkKind::transpose]};
        worker_.tile.finish();
        return fill();
    }

private:
    void add(std::uint32_t i)
    {
        const Structure& s = context_.community.structures[i];
        const Stopwatch outline{worker_.times[WorkKind::outlines]};
        const RingOutlines outlines = ring_outlines(s.footprint, context_.config.rings, s.stretch);
        outline.stop();
        const Stopwatch transpose{worker_.times[WorkKind::transpose]};
        worker_.tile.add(outlines, s.frame, context_.raster.grid().at_scale(s.map_scale),
                         points_per_m2(*results_[i].measure, context_.config.rings));
    }

    SurfaceTotals fill()
    {
        const CellRect& rect = worker_.tile.rect();
        const CellRect& touched = worker_.tile.touched();
        SurfaceTotals totals;
        totals.cells_of_class.resize(context_.raster.classes().rows().size());
        worker_.block.clear();
        for (std::int64_t row = touched.row; row < touched.row + touched.rows; ++row)
            for (std::int64_t col = touched.col; col < touched.col + touched.cols; ++col)
                if (worker_.tile.reached(row, col)) {
                    const std::int64_t r = row - rect.row;
                    const std::int64_t c = col - rect.col;
                    fill_cell(row, col, worker_.cells[static_cast<std::size_t>(r * rect.cols + c)],
                              static_cast<std::size_t>(r * out_block_cells + c), totals);
                }
        return totals;
    }

    /// One cell that a ring or a roof reaches.
    void fill_cell(std::int64_t row, std::int64_t col, ClassIndex cell, std::size_t at,
                   SurfaceTotals& totals)
    {
        const ClassFacts& fuel = worker_.facts[cell];
        SurfaceBlock& block = worker_.block;
        block.any = true;
        block.group[at] = fuel.group;
        block.share[at] = fuel.share;
        // Wholly under a roof: the files say what grows there, but no ring counts it.
        if (!worker_.tile.ring_reaches(row, col))
            return;
        ++totals.cells;
        ++totals.cells_of_class[cell];
        if (!fuel.mapped) {
            ++totals.unmapped;
            return;
        }
        // The total takes the double: sums over cells then equal those over structures far better
        // than Float32 could.
        const double points = worker_.tile.points(row, col) * fuel.share_frac;
        block.priority[at] = static_cast<float>(points);
        totals.points += points;
    }

    const StageContext& context_;
    const std::vector<StructureResult>& results_;
    SurfaceWorker& worker_;
};

} // namespace

std::vector<SurfaceTotals> spread_surface(const StageContext& context,
                                          const std::vector<StructureResult>& results,
                                          RasterOut& priority, RasterOut& fuel_used,
                                          WorkTimes& times)
{
    const Grid& grid = context.raster.grid();
    const TileIndex index = TileIndex::of_reach(context.community, grid, out_block_cells,
                                                context.config.rings.widest_m());
    std::vector<SurfaceTotals> totals(index.tiles().size());
    const auto blocks =
        context.share ? std::count(context.share->blocks.begin(), context.share->blocks.end(), true)
                      : std::ssize(totals);
    context.progress.begin(surface_phase(blocks, std::ssize(totals), context.community));
    for_each_in_parallel<SurfaceWorker>(
        context.jobs, index.tiles().size(), [&] { return SurfaceWorker{context.raster}; },
        [&](SurfaceWorker& worker, std::size_t t) {
            // Totals keep their places, so those of all shards add up in the order of one run.
            if (context.share && !context.share->blocks[t])
                return;
            context.check_cancelled();
            const TileIndex::Tile& place = index.tiles()[t];
            const CellRect rect = cells_of_tile(place.row, place.col, out_block_cells, grid);
            const auto structures = index.structures(place);
            const auto spread = [&] {
                SurfaceTotals of_block = BlockTask{context, results, worker}.run(rect, structures);
                if (worker.block.any) {
                    const Stopwatch write{worker.times[WorkKind::write_blocks]};
                    priority.put(place.col, place.row, worker.block.priority);
                    fuel_used.put(place.col, place.row, worker.block.share, worker.block.group);
                }
                return of_block;
            };
            totals[t] = context.reuse ? context.reuse->surface(place, structures, results, priority,
                                                               fuel_used, spread)
                                      : spread();
            context.progress.advance();
        },
        [&](const SurfaceWorker& worker) { times += worker.times; });
    return totals;
}

SurfaceTotals sum_of(const std::vector<SurfaceTotals>& blocks, std::size_t classes)
{
    SurfaceTotals sum;
    sum.cells_of_class.resize(classes);
    for (const SurfaceTotals& t : blocks)
        sum = sum + t;
    return sum;
}

} // namespace fuelring
