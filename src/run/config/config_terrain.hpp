// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/config/config.hpp"
#include "run/config/config_table.hpp"

namespace fuelring {

// The parts of load_config that read [inputs.elevation] and [terrain].

void read_elevation(const ConfigTable& inputs, Config& config);
/// Requires: the inputs are read. Throws: Error{usage}, also for a [terrain] without elevation.
void read_terrain(const ConfigTable& root, Config& config);

} // namespace fuelring
