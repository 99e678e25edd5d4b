// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "run/config/config.hpp"
#include "run/config/gate_kinds.hpp"

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
    bool plain = false; ///< without what run.also names: another command makes that
};

/// The main job: measures conifer around every structure and publishes priority.tif,
/// fuel_used.tif, addresses.csv, fuelring.gpkg and run.json as one set. Where nothing changed
/// since the run in the folder, that stays as it is. Returns run.json's summary.
/// Throws: Error of every kind; earlier outputs are then untouched.
nlohmann::json run_map(const Config& config, const MapOptions& options, Log& log);

} // namespace fuelring
