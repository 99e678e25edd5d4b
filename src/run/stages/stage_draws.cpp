// SPDX-License-Identifier: Apache-2.0

// Registration draws: every structure measured again under each shift against the raster. A tile is
// read once, ring outlines are found once, and each draw costs the integrals along them. Of the
// draws only what the percentiles and ranks need is kept: exposures of all, and from the rings the
// percentiles of each structure. Draw 0, nothing shifted, is the measurement itself.

#include "change/shifts.hpp"
#include "run/cache/result_cache.hpp"
#include "run/schedule/parallel.hpp"
#include "run/schedule/shard_plan.hpp"
#include "run/schedule/tiles.hpp"
#include "run/stages/stage_phases.hpp"
#include "run/stages/stages.hpp"
#include "run/stages/tile_fuel.hpp"

#include <algorithm>

namespace fuelring {

namespace {

struct DrawsWorker {
    TileFuel fuel;
    WorkTimes times;
};

class DrawsTask {
public:
    DrawsTask(const StageContext& context, std::span<const Point> shifts,
              const std::vector<StructureResult>& results, DrawnFigures& drawn)
        : context_(context), shifts_(shifts), results_(results), drawn_(drawn)
    {}

    void run(DrawsWorker& worker, std::span<const std::uint32_t> structures)
    {
        const Stopwatch watch{worker.times[WorkKind::draws]};
        WorkTimes& t = worker.times;
        worker.fuel.for_each(
            structures, t[WorkKind::draws_read], t[WorkKind::draws_read],
            [&](std::size_t k, const FuelWindow& fuel) { draw(structures[k], fuel); });
    }

private:
    void draw(std::uint32_t i, const FuelWindow& fuel)
    {
        const Structure& s = context_.community.structures[i];
        const RingPlan& plan = context_.config.rings;
        const RingOutlines outlines = ring_outlines(s.footprint, plan, s.stretch);
        std::vector<StructureMeasure> measures =
            measure_shifted(outlines, shifts_.subspan(1), s.frame,
                            context_.raster.grid().at_scale(s.map_scale), fuel);
        // Measured again, draw 0 could differ in its last digits from what the tables print.
        StructureMeasure unshifted;
        unshifted.rings = results_[i].measure->rings;
        measures.insert(measures.begin(), std::move(unshifted));
        drawn_.structures[i] = spreads_of(measures, plan, drawn_.exposures.of(i));
    }

    const StageContext& context_;
    std::span<const Point> shifts_;
    const std::vector<StructureResult>& results_;
    DrawnFigures& drawn_;
};

/// How many of the rows hold a rank.
template <typename Rows>
std::int64_t ranked_of(const Rows& rows)
{
    return std::count_if(rows.begin(), rows.end(),
                         [](const auto& row) { return row.rank.has_value(); });
}

} // namespace

DrawnFigures draw_registrations(const StageContext& context,
                                const std::vector<StructureResult>& results, WorkTimes& times)
{
    const UncertaintyPlan& plan = context.config.uncertainty.value();
    const std::vector<Point> shifts = registration_shifts(plan.draws, plan.shift_m);
    const TileIndex index = TileIndex::of_owners(context.community, context.tile_cells,
                                                 context.share ? &context.share->own : nullptr);
    DrawnFigures drawn{{results.size(), shifts.size()}, {}};
    drawn.structures.resize(results.size());
    DrawsTask task{context, shifts, results, drawn};
    context.progress.begin(
        of_structures("shifting the map around", index, work_of::draw * plan.draws));
    for_each_in_parallel<DrawsWorker>(
        context.jobs, index.tiles().size(),
        [&] {
            return DrawsWorker{TileFuel{context, plan.shift_m}, {}};
        },
        [&](DrawsWorker& worker, std::size_t t) {
            context.check_cancelled();
            const auto structures = index.structures(index.tiles()[t]);
            const auto draw = [&] { task.run(worker, structures); };
            if (context.reuse)
                context.reuse->draws(index.tiles()[t], structures, drawn.exposures,
                                     drawn.structures, draw);
            else
                draw();
            context.progress.advance(static_cast<std::int64_t>(structures.size()));
        },
        [&](const DrawsWorker& worker) { times += worker.times; });
    return drawn;
}

RegistrationDraws rank_registrations(const UncertaintyPlan& plan, RankBy rank_by,
                                     const Community& community,
                                     const std::vector<StructureResult>& results,
                                     const std::vector<NeighbourhoodRow>& rows, DrawnFigures drawn)
{
    RegistrationDraws draws;
    draws.structures = std::move(drawn.structures);
    draws.first_structures = first_of(plan.first, ranked_of(results));
    draws.first_neighbourhoods = first_of(plan.first_neighbourhoods, ranked_of(rows));
    rank_draws(community, rows, drawn.exposures, rank_by, draws);
    const auto count = static_cast<std::int64_t>(drawn.exposures.draws());
    draws.unmapped_in_some =
        std::count_if(draws.structures.begin(), draws.structures.end(), [&](const auto& s) {
            // Mapped in some draws only: its percentiles are of fewer draws than all.
            return s.with_exposure > 0 && s.with_exposure < count;
        });
    return draws;
}

} // namespace fuelring
