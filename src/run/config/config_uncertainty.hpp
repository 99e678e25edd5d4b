// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/config/config.hpp"
#include "run/config/config_table.hpp"

namespace fuelring {

/// The part of load_config that reads [uncertainty]. Throws: Error{usage}.
void read_uncertainty(const ConfigTable& root, Config& config);

} // namespace fuelring
