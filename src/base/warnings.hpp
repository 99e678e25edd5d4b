// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace fuelring {

/// Something the user should know that does not stop the run: how many and the first few.
struct Warning {
    std::string key;  ///< stable word for run.json, such as "addresses_not_joined"
    std::string text; ///< "12 addresses have no structure within 30 m"
    std::int64_t count = 0;
    std::vector<std::string> examples; ///< all of them where the contract asks for a list
};

using Warnings = std::vector<Warning>;

} // namespace fuelring
