// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/map.hpp"

namespace fuelring {

/// Validates configuration and inputs and explains what `map` would do: what would be read and
/// reprojected, the share of every fuel class around the structures, an estimate of time, memory
/// and disk. Writes nothing. Returns the same as JSON.
/// Throws: Error{usage} and Error{input}, as `map` would.
nlohmann::json run_check(const Config& config, const MapOptions& options, Log& log);

} // namespace fuelring
