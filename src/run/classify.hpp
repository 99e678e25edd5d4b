// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "run/config/config.hpp"
#include "run/map.hpp"

#include <nlohmann/json_fwd.hpp>

#include <string>
#include <vector>

namespace fuelring {

/// The files of a classification, in a folder of their own.
extern const std::vector<std::string> files_of_classify;

/// Makes a fuel raster of the images of [imagery], and says how good it is. `config` comes from
/// load_imagery_config. Returns what run.json says. Throws: Error of any kind.
nlohmann::json run_classify(const Config& config, const MapOptions& options, Log& log);

} // namespace fuelring
