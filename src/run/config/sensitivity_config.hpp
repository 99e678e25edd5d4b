// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/measure.hpp>

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

class ConfigTable;

/// One stated choice that might have been made instead.
struct SensitivityTrial {
    std::string name;
    RingPlan rings;      ///< those of the run where the trial names none
    std::string classes; ///< path of another class table; empty: the run's
};

/// The table [sensitivity] of the configuration: what the ranking is tried under
/// (src/manual/numbers.md, "Sensitivity").
struct SensitivityPlan {
    std::vector<SensitivityTrial> trials;
    std::string confusion;  ///< path of a matrix of the raster's classes; empty: none
    double range_m = 30;    ///< cells of one class in a square of this side err together
    int draws = 32;         ///< of the confusion; planning default
    int resamples = 200;    ///< of homes in every neighbourhood; planning default
    std::uint64_t seed = 1; ///< of both
    /// Ranks that count as first; empty: a tenth of those that have one, rounded up.
    std::optional<std::int64_t> first{};
    std::optional<std::int64_t> first_neighbourhoods{};
};

/// Reads the table; empty where it is absent. `rings`: of the run. Throws: Error{usage} naming
/// file, line and key.
std::optional<SensitivityPlan> read_sensitivity(const ConfigTable& root, const RingPlan& rings);

} // namespace fuelring
