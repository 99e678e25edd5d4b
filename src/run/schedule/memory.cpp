// SPDX-License-Identifier: Apache-2.0

// Memory is the program itself, what is known of every structure and address, the cache of decoded
// raster blocks, and for each worker one window of the raster with its row sums and one block of
// the outputs. Only the first two grow with the community, none with the raster.

#include "run/schedule/memory.hpp"

#include "io/cog/cog_writer.hpp"
#include "io/gdal/setup.hpp"
#include "run/schedule/tiles.hpp"

#include <fuelring/error.hpp>
#include <fuelring/outline.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <tbb/task_arena.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring {

namespace {

// Measured on generated communities of 1,000 to 2,000,000 structures, rounded up.
constexpr double program_bytes = 80e6;
constexpr double run_bytes_per_structure = 800;
constexpr double bytes_of_spreads = 400;     ///< of a structure, where there are draws
constexpr double bytes_per_draw = 8;         ///< of a structure
constexpr double bytes_of_trials = 900;      ///< of a structure: measures of one trial, ranges
constexpr double bytes_per_trial_figure = 8; ///< of a structure
constexpr double bytes_per_vertex = 24;
constexpr double bytes_per_address = 200;
constexpr double bytes_per_parcel = 900;

constexpr double bytes_per_group_cell = 16; ///< running sums
constexpr double bytes_per_out_cell = 60;   ///< of a block of the outputs, packing included
constexpr double bytes_per_warped_cell = 40;

constexpr double least_cache_bytes = 16e6;
constexpr double most_cache_bytes = 256e6;

constexpr double share_of_group = 0.9; ///< planning default

double square(double x)
{
    return x * x;
}

/// One worker: a window of cells as the file has them and as classes, sums of one group, a block.
double worker_bytes(const MemoryNeeds& needs, int tile_cells)
{
    const double halo = 2 * needs.reach_cells + 4;
    const double cell_bytes = sizeof(ClassIndex) + static_cast<double>(needs.blocks.cell_bytes) +
                              (needs.warped ? bytes_per_warped_cell : 0);
    return square(tile_cells + halo) * cell_bytes +
           square(std::min<double>(tile_cells, group_cells) + halo) * bytes_per_group_cell +
           square(out_block_cells) * bytes_per_out_cell;
}

/// Decoded blocks below the windows of all workers: a block must not be decoded twice for one tile.
double cache_wish(const MemoryNeeds& needs, int tile_cells, int jobs)
{
    const auto& b = needs.blocks;
    const double window = tile_cells + 2 * needs.reach_cells + 4;
    const auto covered = [window](std::int64_t block, std::int64_t raster) {
        const auto cells = static_cast<double>(block);
        return cells * std::min(std::ceil(window / cells) + 1,
                                std::ceil(static_cast<double>(raster) / cells));
    };
    return std::clamp(jobs * covered(b.cols, b.raster_cols) * covered(b.rows, b.raster_rows) *
                          static_cast<double>(b.cell_bytes),
                      least_cache_bytes, most_cache_bytes);
}

} // namespace

std::optional<MemoryLimit> memory_limit(std::optional<int> memory_mb, const GroupBounds& bounds)
{
    std::optional<MemoryLimit> limit;
    if (memory_mb)
        limit = MemoryLimit{*memory_mb};
    if (!bounds.memory_bytes)
        return limit;
    const double mb = std::floor(share_of_group * static_cast<double>(*bounds.memory_bytes) / 1e6);
    if (mb < (limit ? limit->mb : std::numeric_limits<int>::max()))
        limit = MemoryLimit{static_cast<int>(mb), "the memory limit of the control group"};
    return limit;
}

MemoryPlan plan_memory(const MemoryNeeds& needs, int jobs, int tile_cells,
                       const std::optional<MemoryLimit>& limit)
{
    const double draws = needs.draws > 0 ? bytes_of_spreads + needs.draws * bytes_per_draw : 0;
    const double trials = needs.trial_figures > 0
                              ? bytes_of_trials + needs.trial_figures * bytes_per_trial_figure
                              : 0;
    const double fixed =
        program_bytes +
        (run_bytes_per_structure + draws + trials) * static_cast<double>(needs.structures) +
        bytes_per_vertex * static_cast<double>(needs.vertices) +
        bytes_per_address * static_cast<double>(needs.addresses) +
        bytes_per_parcel * static_cast<double>(needs.parcels) +
        (needs.heights ? static_cast<double>(height_cache_bytes(limit.has_value())) : 0);
    const auto bytes_with = [&](int workers, int tile, double cache) {
        return fixed + cache + workers * worker_bytes(needs, tile);
    };
    double cache = cache_wish(needs, tile_cells, jobs);
    if (limit) {
        const double most = 1e6 * limit->mb;
        const auto too_much = [&] { return bytes_with(jobs, tile_cells, cache) > most; };
        // In the order of what it costs in time: blocks decoded twice, more halo, idle cores.
        if (too_much())
            cache =
                std::max(least_cache_bytes, cache - (bytes_with(jobs, tile_cells, cache) - most));
        while (too_much() && tile_cells > least_tile_cells)
            tile_cells = std::max(tile_cells / 2, least_tile_cells);
        while (too_much() && jobs > 1)
            --jobs;
        if (too_much())
            throw Error{Failure::usage,
                        fmt::format("{} MB are too little: {} structures with rings of {:.0f} "
                                    "cells take {:.0f} MB with one worker",
                                    limit->mb, needs.structures, needs.reach_cells,
                                    std::ceil(bytes_with(jobs, tile_cells, cache) / 1e6)),
                        limit->set_by, "raise it, or cut the community in parts"};
    }
    return {.jobs = jobs,
            .tile_cells = tile_cells,
            .cache_bytes = static_cast<std::size_t>(cache),
            .bytes = bytes_with(jobs, tile_cells, cache),
            .limit = limit};
}

std::string workers_set_by(int jobs_configured, int jobs_asked, const GroupBounds& bounds)
{
    if (jobs_asked > 0)
        return "--jobs";
    if (jobs_configured > 0)
        return "run.jobs";
    const int cores = tbb::this_task_arena::max_concurrency();
    return default_workers(cores, bounds) < cores ? "the CPU quota of the control group"
                                                  : "one per core";
}

int workers_of(int jobs_configured, int jobs_asked, const GroupBounds& bounds)
{
    const int jobs = jobs_asked > 0 ? jobs_asked : jobs_configured;
    return jobs > 0 ? jobs : default_workers(tbb::this_task_arena::max_concurrency(), bounds);
}

nlohmann::json limits_json(const MemoryPlan& plan)
{
    nlohmann::json object = {{"workers", plan.jobs},
                             {"workers_set_by", plan.jobs_set_by},
                             {"memory_mb", nullptr},
                             {"memory_set_by", nullptr}};
    if (plan.limit) {
        object["memory_mb"] = plan.limit->mb;
        object["memory_set_by"] = plan.limit->set_by;
    }
    return object;
}

std::string limits_text(const MemoryPlan& plan)
{
    std::string text = fmt::format("{} workers ({})", plan.jobs, plan.jobs_set_by);
    if (plan.limit)
        text += fmt::format(", at most {} MB of memory ({})", plan.limit->mb, plan.limit->set_by);
    return text;
}

void warn_of_memory(double peak_mib, std::optional<int> memory_mb, Log& log)
{
    const double peak_mb = peak_mib * 0x1p20 / 1e6;
    if (memory_mb && peak_mb > *memory_mb)
        log.warn(fmt::format("the run took {:.0f} MB, more than run.memory_mb = {}", peak_mb,
                             *memory_mb));
}

} // namespace fuelring
