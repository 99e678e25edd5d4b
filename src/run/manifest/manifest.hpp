// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/caution.hpp"
#include "io/gdal/environment.hpp"
#include "run/inputs/inputs.hpp"
#include "run/inputs/run_memory.hpp"
#include "run/manifest/stage_times.hpp"
#include "run/stages/stages.hpp"
#include "sensitivity/sensitivity.hpp"

#include <nlohmann/json.hpp>

#include <vector>

namespace fuelring {

/// Version of the layout of run.json. Rises when a key changes its meaning or goes away.
inline constexpr int schema_version = 3;

/// The part of run.json that is known before anything is measured: program, configuration, inputs
/// with their `digests`, coordinate systems, corrections, heights.
/// `digests`: an object by role (a key of the configuration), each an object that may hold a
/// `sha256`. Requires: slopes are found where there is an elevation raster, for they are counted.
nlohmann::json basis_of(const Config& config, const Inputs& inputs, const nlohmann::json& digests);

/// Everything run.json says, before the publication adds generation and files, and run.also its
/// plan and report. Holds references: what they name must live until manifest_of returns.
struct ManifestParts {
    const nlohmann::json& basis;
    double near_m = 0; ///< rings.near_m; it is part of the names of two counts
    /// There is one where there are draws.
    const std::optional<UncertaintyPlan>& uncertainty;
    const Inputs& inputs;
    /// By structure. With parcels every measure has its split by owner.
    const std::vector<StructureResult>& results;
    std::size_t address_rows = 0;
    /// Has a number for every class of the table in cells_of_class.
    SurfaceTotals surface;
    std::int64_t neutralised_cells = 0; ///< texts that a spreadsheet would run
    /// As in the table. Not empty: the last is that of the whole community.
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
/// The part of run.json about [sensitivity]: what was tried, and the ranges of neighbourhoods.
nlohmann::json sensitivity_json(const SensitivityPlan& plan, const SensitivityFindings& findings);

/// The basis and these parts as one object; figures that are not known are null.
nlohmann::json manifest_of(const ManifestParts& parts);

/// What `--json` prints and people read at the end: counts, totals, caution, where the files are.
/// A part of the manifest under the same keys, so that a program may read either. Plan, report and
/// gate are there where the manifest has them.
/// Throws: nlohmann::json::out_of_range where a manifest lacks what every run says.
nlohmann::json summary_of(const nlohmann::json& manifest, const std::filesystem::path& out);

} // namespace fuelring
