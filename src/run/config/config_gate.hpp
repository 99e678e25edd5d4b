// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/config/config_table.hpp"
#include "run/config/gate_settings.hpp"

namespace fuelring {

/// The part of load_config that reads [gate]. Throws: Error{usage}.
GateSettings read_gate(const ConfigTable& root);

} // namespace fuelring
