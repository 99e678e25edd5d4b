// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/caution.hpp"
#include "io/gdal/environment.hpp"
#include "run/inputs/inputs.hpp"
#include "run/inputs/run_memory.hpp"
#include "run/manifest/stage_times.hpp"
#include "run/stages/stages.hpp"

#include <nlohmann/json.hpp>

#include <vector>

namespace fuelring {

/// Version of the layout of run.json. Rises when a key changes its meaning or goes away.
inline constexpr int schema_version = 2;

/// The part of run.json that is known before anything is measured: program, configuration, inputs
/// with their `digests`, coordinate systems, corrections, heights.
nlohmann::json basis_of(const Config& config, const Inputs& inputs, const nlohmann::json& digests);

/// Everything run.json says, before the publication adds generation and files, and run.also its
/// plan and report.
struct ManifestParts {
    const nlohmann::json& basis;
    double near_m = 0;
    const std::optional<UncertaintyPlan>& uncertainty;
    const Inputs& inputs;
    const std::vector<StructureResult>& results;
    std::size_t address_rows = 0;
    SurfaceTotals surface;
    std::int64_t neutralised_cells = 0;
    const std::vector<NeighbourhoodRow>& neighbourhoods;
    UnionCounts union_counts;
    const RegistrationDraws* draws = nullptr; ///< where there are any
    const StageTimes& stages;
    const WorkTimes& work;
    const MemoryPlan& memory;
    nlohmann::json changes; ///< since the last run; null on a first one
    nlohmann::json gate;
    nlohmann::json source; ///< `reuse`, and `shards` where there are any
};
nlohmann::json manifest_of(const ManifestParts& parts);

/// What `--json` prints and people read at the end: counts, totals, caution, where the files are.
nlohmann::json summary_of(const nlohmann::json& manifest, const std::filesystem::path& out);

} // namespace fuelring
