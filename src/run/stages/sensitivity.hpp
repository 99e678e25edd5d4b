// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/stages/sensitivity_trials.hpp"
#include "sensitivity/sensitivity.hpp"

#include <vector>

namespace fuelring {

/// Ranks structures and neighbourhoods in every trial of config.sensitivity, which is there, and
/// neighbourhoods with resampled homes. `rows`: of the neighbourhood table.
/// Law and throws: as for_each_trial.
SensitivityFindings find_sensitivity(const StageContext& context,
                                     const std::vector<StructureResult>& results,
                                     const std::vector<NeighbourhoodRow>& rows);

} // namespace fuelring
