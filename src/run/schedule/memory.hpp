// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "io/raster/fuel_raster.hpp"
#include "run/config/config.hpp"
#include "run/schedule/cgroup_limits.hpp"

#include <nlohmann/json_fwd.hpp>

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>

namespace fuelring {

/// What decides how much memory a run takes. What grows with the community is counted whole, what
/// grows with the raster only by the windows that workers hold.
struct MemoryNeeds {
    std::size_t structures = 0;
    std::size_t vertices = 0; ///< of all footprints
    std::size_t addresses = 0;
    std::size_t parcels = 0;
    bool heights = false;   ///< slopes are found in an elevation raster
    double reach_cells = 0; ///< the widest ring, in cells
    FileBlocks blocks;      ///< of the fuel raster
    int draws = 0;          ///< registration draws
    int trial_figures = 0;  ///< numbers that trials hold of each structure; 0 without trials
    bool warped = false;    ///< the raster is resampled as it is read
};

/// How much memory a run may take, and who says so.
struct MemoryLimit {
    int mb = 0; ///< 10^6 bytes
    std::string set_by = "run.memory_mb";
};

/// How a run shares out its memory. Changes no result. `limit` is empty where nobody set one:
/// `bytes` is then what the run is expected to take.
struct MemoryPlan {
    int jobs = 1;
    int tile_cells = 0;
    std::size_t cache_bytes = 0; ///< decoded blocks of the raster that GDAL keeps
    double bytes = 0;            ///< of the process, at most
    std::string jobs_set_by{};   ///< in words: an option, a key, the machine, the control group
    std::optional<MemoryLimit> limit{};
};

/// The tighter of run.memory_mb and nine tenths of what the control group lets the process have;
/// the rest is left to the kernel's share of it. Empty: no limit. Source: planning default.
std::optional<MemoryLimit> memory_limit(std::optional<int> memory_mb, const GroupBounds& bounds);

/// The plan for `jobs` workers on tiles of `tile_cells`; where that takes more than `limit`,
/// with a smaller cache, then smaller tiles, then fewer workers. `jobs_set_by` is left empty.
/// Law: with a limit, `bytes` is at most 10^6 limit.mb; neither workers nor tiles grow.
/// Requires: jobs >= 1, tile_cells > 0.
/// Throws: Error{usage} naming who set it and the least that would do.
/// Source: src/manual/performance.md, "Memory"; the constants are measured.
MemoryPlan plan_memory(const MemoryNeeds& needs, int jobs, int tile_cells,
                       const std::optional<MemoryLimit>& limit);

/// Bytes of decoded blocks that GDAL keeps while slopes are found; fewer under a memory limit.
constexpr std::size_t height_cache_bytes(bool memory_is_bounded)
{
    return memory_is_bounded ? 16'000'000 : 64'000'000;
}

/// Who says how many workers there are: "--jobs", "run.jobs", the CPU quota, or one per core. For
/// both this and workers_of, a number of 0 or below was not given.
std::string workers_set_by(int jobs_configured, int jobs_asked, const GroupBounds& bounds);

/// As many workers as asked for on the command line, else in the configuration, else as many
/// as the cores and the control group keep busy.
int workers_of(int jobs_configured, int jobs_asked, const GroupBounds& bounds = group_bounds());

/// `timings.limits` of run.json: workers and memory, and who bounds them.
nlohmann::json limits_json(const MemoryPlan& plan);
/// "2 workers (the CPU quota of the control group), at most 1800 MB of memory (run.memory_mb)".
std::string limits_text(const MemoryPlan& plan);

/// Warns where a run took more than run.memory_mb allows, of 10^6 bytes each; a peak is in MiB of
/// 2^20, as the kernel counts. Silent without the key: a control group watches its own bound.
void warn_of_memory(double peak_mib, std::optional<int> memory_mb, Log& log);

} // namespace fuelring
