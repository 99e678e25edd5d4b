// SPDX-License-Identifier: Apache-2.0
#include "run/inputs/run_memory.hpp"

#include "io/gdal/setup.hpp"
#include "run/schedule/tiles.hpp"

#include <fuelring/outline.hpp>

#include <fmt/format.h>

#include <algorithm>

namespace fuelring {

namespace {

/// Conifers that each stated trial and the expected shares add, by ring, and what two trials hold.
int trial_figures(const Config& config)
{
    if (!config.sensitivity)
        return 0;
    const std::size_t changes = config.sensitivity->trials.size() + 1;
    return static_cast<int>(changes * config.rings.outer_m.size() + 2);
}

/// Of the run and of its trials.
double widest_ring_of(const Config& config)
{
    double widest_m = config.rings.widest_m();
    if (config.sensitivity)
        for (const SensitivityTrial& trial : config.sensitivity->trials)
            widest_m = std::max(widest_m, trial.rings.widest_m());
    return widest_m;
}

MemoryNeeds memory_needs(const Inputs& inputs, const Config& config)
{
    const std::optional<UncertaintyPlan>& uncertainty = config.uncertainty;
    const double widest_m = widest_ring_of(config);
    const Community& community = inputs.community;
    MemoryNeeds needs{.structures = community.structures.size(),
                      .addresses = community.addresses.size(),
                      .parcels = community.owners ? community.owners->parcels : 0,
                      .heights = inputs.elevation != nullptr,
                      .blocks = inputs.raster->blocks(),
                      .draws = uncertainty ? uncertainty->draws : 0,
                      .trial_figures = trial_figures(config),
                      .warped = inputs.raster->plan().warped()};
    for (const Structure& s : community.structures) {
        for (const Loop& loop : s.footprint.loops)
            needs.vertices += loop.size();
        if (!reaches(s, inputs.raster->grid(), widest_m))
            continue; // far off, the scale of the map may be anything
        const Grid grid = inputs.raster->grid().at_scale(s.map_scale);
        const Box reach = reach_around(widest_m, s.stretch);
        const double reach_m = std::max({-reach.min.x, -reach.min.y, reach.max.x, reach.max.y}) +
                               (uncertainty ? uncertainty->shift_m : 0);
        needs.reach_cells = std::max(needs.reach_cells,
                                     reach_m / std::min(grid.cell_width_m(), grid.cell_height_m()));
    }
    return needs;
}

} // namespace

MemoryPlan plan_memory(const Inputs& inputs, const Config& config, int jobs_asked, Log& log)
{
    const GroupBounds bounds = group_bounds();
    const int jobs = workers_of(config.run.jobs, jobs_asked, bounds);
    const std::optional<MemoryLimit> limit = memory_limit(config.run.memory_mb, bounds);
    MemoryPlan plan = plan_memory(memory_needs(inputs, config), jobs, config.run.tile_cells, limit);
    plan.jobs_set_by =
        plan.jobs < jobs ? limit->set_by : workers_set_by(config.run.jobs, jobs_asked, bounds);
    if (plan.jobs != jobs || plan.tile_cells != config.run.tile_cells)
        log.detail(fmt::format("to stay within {} = {} MB: {} workers, tiles of {} cells",
                               limit->set_by, limit->mb, plan.jobs, plan.tile_cells));
    bound_block_cache(plan.cache_bytes);
    return plan;
}

} // namespace fuelring
