// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace fuelring {

/// What the input check lets through (src/manual/gate.md); planning defaults.
struct GateSettings {
    bool on = true;
    double max_change = 5;             ///< percentage points of a share
    double max_relative_change = 50;   ///< per cent of the larger of both figures
    double max_structures_change = 10; ///< per cent of their number
    double max_regrouped = 20;         ///< per cent of the structures
    double min_height_correlation = 0.9;
};

} // namespace fuelring
