// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace fuelring {

/// What the input gate lets through (README, "The input gate"); planning defaults.
struct GateSettings {
    bool on = true;
    double max_change = 5;             ///< percentage points of a share of ground
    double max_structures_change = 10; ///< per cent of their number
};

} // namespace fuelring
