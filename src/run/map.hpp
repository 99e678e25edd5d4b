// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "base/program/progress.hpp"
#include "run/config/config.hpp"
#include "run/config/gate_kinds.hpp"
#include "run/schedule/shard_plan.hpp"

#include <nlohmann/json_fwd.hpp>

#include <filesystem>
#include <optional>
#include <vector>

namespace fuelring {

/// What the command line adds to the configuration.
struct MapOptions {
    std::optional<std::filesystem::path> out; ///< instead of output.dir
    int jobs = 0;                             ///< instead of run.jobs; 0: not given
    bool full = false;                        ///< compute everything, reuse nothing
    GateKinds accepted{};                     ///< publish what the input check finds of these
    /// Take all figures from these parts, which run_shard made, and compute nothing.
    std::vector<std::filesystem::path> parts{};
    /// Without what run.also names, and as the beginning of another command: that makes it, says
    /// how far it is, and expects the work of this.
    Progress* before = nullptr;
};

/// The main job: measures conifer around every structure and publishes priority.tif,
/// fuel_used.tif, addresses.csv, fuelring.gpkg and run.json as one set. Where nothing changed
/// since the run in the folder, that stays as it is. Returns run.json's summary.
/// Throws: Error of every kind; earlier outputs are then untouched.
nlohmann::json run_map(const Config& config, const MapOptions& options, Log& log);

/// Validates configuration and inputs and explains what `map` would do: what would be read and
/// reprojected, the share of every fuel class around the structures, an estimate of time, memory
/// and disk. Writes nothing. Returns the same as JSON.
/// Throws: Error{usage} and Error{input}, as `map` would.
nlohmann::json run_check(const Config& config, const MapOptions& options, Log& log);

/// Does one part of the work of `map` and leaves it as the file shard-K-of-N.part in the folder
/// options.out (else `NAME.shards` beside the output folder NAME), which is made where there is
/// none; `map` with all N parts publishes what one run would. A part that is there already and
/// whole stays as it is, unless options.full. Returns what the part holds.
/// Throws: Error of every kind; an earlier part is then untouched.
nlohmann::json run_shard(const Config& config, const Shard& shard, const MapOptions& options,
                         Log& log);

/// Picks where to treat within a budget, from the run in the output folder; runs `map` first where
/// there is none or it is out of date. Publishes treatment_units.csv, benefit_curve.csv,
/// treatment_exposure.csv and treatment.gpkg beside the files of the run, as a new generation of
/// the set. Returns what `--json` prints. Throws: Error of every kind; earlier outputs are then
/// untouched.
nlohmann::json run_treat(const Config& config, const MapOptions& options, Log& log);

} // namespace fuelring
