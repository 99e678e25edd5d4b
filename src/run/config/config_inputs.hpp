// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/config/config.hpp"
#include "run/config/config_table.hpp"

namespace fuelring {

/// Reads one table, which `holder` has, into the configuration.
using ReadTable = void (*)(const ConfigTable& holder, Config& config);

/// The table [inputs] with its layers. Whether they may lie elsewhere is said in [run].
/// Throws: Error{usage}; Faults where several of its tables are wrong.
void read_inputs_table(const ConfigTable& root, Config& config);

} // namespace fuelring
