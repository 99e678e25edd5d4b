// SPDX-License-Identifier: Apache-2.0

// Before and after treatment: a structure's outlines are found once and its fuel is read once, then
// integrated twice, as it is and as units leave it. Both sides come from the same integrals.
#include "run/treat/treated_exposures.hpp"

#include "exposure/measure_parts.hpp"
#include "run/schedule/parallel.hpp"
#include "run/schedule/tiles.hpp"
#include "run/stages/stage_phases.hpp"
#include "run/stages/tile_fuel.hpp"

namespace fuelring {

namespace {

/// Rings out to the last that adds to the exposure; 0: the structure has none.
std::size_t rings_that_count(const StructureMeasure& measure, const RingPlan& plan)
{
    const std::vector<double> points = points_per_m2(measure, plan);
    std::size_t rings = points.size();
    while (rings > 0 && points[rings - 1] == 0)
        --rings;
    return rings;
}

} // namespace

TreatedExposures measure_treatment(const StageContext& context, const TreatedFuel& treated)
{
    const Community& community = context.community;
    const RingPlan& plan = context.config.rings;
    const TileIndex index = TileIndex::of_owners(community, context.tile_cells);
    TreatedExposures found;
    found.before.resize(community.structures.size());
    found.after.resize(community.structures.size());
    found.rings_that_count.resize(community.structures.size());
    const auto measure_one = [&](std::size_t i, const FuelWindow& before, const FuelWindow& after) {
        const Structure& s = community.structures[i];
        const Grid ground = context.raster.grid().at_scale(s.map_scale);
        const RingOutlines outlines = ring_outlines(s.footprint, plan, s.stretch);
        const std::vector<double> areas = areas_within(outlines);
        const auto measured = [&](const FuelWindow& fuel) {
            return rings_between(integrals_within(outlines, s.frame, ground, fuel), areas, ground);
        };
        const StructureMeasure now = measured(before);
        found.before[i] = exposure(now, plan);
        found.after[i] = exposure(measured(after), plan);
        found.rings_that_count[i] = rings_that_count(now, plan);
    };
    context.progress.begin(
        of_structures("measuring before and after treatment", index, work_of::measure_treated));
    for_each_in_parallel<TileFuel>(
        context.jobs, index.tiles().size(), [&] { return TileFuel{context}; },
        [&](TileFuel& fuel, std::size_t t) {
            context.check_cancelled();
            const auto structures = index.structures(index.tiles()[t]);
            fuel.for_each(structures, treated,
                          [&](std::size_t k, const FuelWindow& before, const FuelWindow& after) {
                              measure_one(structures[k], before, after);
                          });
            context.progress.advance(static_cast<std::int64_t>(structures.size()));
        },
        [](const TileFuel&) {});
    return found;
}

} // namespace fuelring
