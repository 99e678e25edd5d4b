// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "run/config/config.hpp"
#include "run/map.hpp"

#include <nlohmann/json_fwd.hpp>

namespace fuelring {

/// Makes a fuel raster of the images of [imagery], and says how good it is; by a rule where there
/// is no training. What did not change since the last time is taken over, and where nothing did,
/// the folder stays as it is. Returns what run.json says. Throws: Error of any kind; earlier
/// outputs are then untouched. Requires: config.imagery.
nlohmann::json run_classify(const Config& config, const MapOptions& options, Log& log);

/// The same as the first step of `map` (run.classify), whose inputs.fuel it makes. Returns
/// `classify` of the map's run.json: folder, run, method, and whether it was made now.
nlohmann::json renew_fuel(const Config& config, const MapOptions& options, Log& log);

} // namespace fuelring
