// SPDX-License-Identifier: Apache-2.0

// Measuring: tiles in parallel, a bounded number in flight (one per worker). A tile reads one
// window of classes that holds the widest rings of its structures (tile_fuel.hpp).
// Every figure of a structure comes from its own frame and from sums of integers, so neither the
// tile nor the group it falls into changes a bit of it.

#include "run/cache/result_cache.hpp"
#include "run/schedule/parallel.hpp"
#include "run/schedule/shard_plan.hpp"
#include "run/schedule/tiles.hpp"
#include "run/stages/stage_phases.hpp"
#include "run/stages/stages.hpp"
#include "run/stages/tile_fuel.hpp"

namespace fuelring {

namespace {

/// What one worker keeps from tile to tile.
struct MeasureWorker {
    TileFuel fuel;
    WorkTimes times;
};

MeasuredStructure measure_one(const StageContext& context, const Structure& s,
                              const FuelWindow& fuel, WorkTimes& times)
{
    const RingPlan& plan = context.config.rings;
    const Stopwatch outline{times[WorkKind::outlines]};
    const RingOutlines outlines = ring_outlines(s.footprint, plan, s.stretch);
    outline.stop();
    const Stopwatch walk{times[WorkKind::walk]};
    const Grid& grid = context.raster.grid();
    // Rings are metres of the ground: the grid is taken at the scale of the map where s stands.
    const Grid ground = grid.at_scale(s.map_scale);
    const auto& owners = context.community.owners;
    if (!owners)
        return measure(s.footprint, outlines, s.frame, ground, fuel, plan);
    return measure_by_owner(s.footprint, outlines, s.frame, ground, fuel, plan,
                            {s.frame, s.map_scale, grid}, *owners);
}

} // namespace

std::vector<MeasuredStructure> measure_structures(const StageContext& context, WorkTimes& times)
{
    const TileIndex index = TileIndex::of_owners(
        context.community, context.tile_cells, context.share ? &context.share->measured : nullptr);
    std::vector<MeasuredStructure> results(context.community.structures.size());
    context.progress.begin(of_structures("measuring", index, work_of::measure));
    for_each_in_parallel<MeasureWorker>(
        context.jobs, index.tiles().size(),
        [&] {
            return MeasureWorker{TileFuel{context}, {}};
        },
        [&](MeasureWorker& worker, std::size_t tile) {
            context.check_cancelled();
            const auto structures = index.structures(index.tiles()[tile]);
            WorkTimes& t = worker.times;
            const auto measure_all = [&] {
                worker.fuel.for_each(structures, t[WorkKind::read], t[WorkKind::prefix],
                                     [&](std::size_t k, const FuelWindow& fuel) {
                                         const std::uint32_t i = structures[k];
                                         results[i] = measure_one(
                                             context, context.community.structures[i], fuel, t);
                                     });
            };
            if (context.reuse)
                context.reuse->measures(index.tiles()[tile], structures, results, measure_all);
            else
                measure_all();
            context.progress.advance(static_cast<std::int64_t>(structures.size()));
        },
        [&](const MeasureWorker& worker) { times += worker.times; });
    return results;
}

} // namespace fuelring
