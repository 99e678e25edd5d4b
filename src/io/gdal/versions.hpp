// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json_fwd.hpp>

namespace fuelring {

/// Versions of fuelring and of the libraries its figures depend on.
nlohmann::json program_versions();

} // namespace fuelring
