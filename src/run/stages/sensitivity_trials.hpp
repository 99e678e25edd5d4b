// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/ranking.hpp"
#include "run/schedule/stage_context.hpp"

#include <functional>
#include <span>
#include <vector>

namespace fuelring {

/// Exposures of all structures in one trial, NaN where there is none.
enum class TrialKind { run, stated, expected, drawn };
using TrialVisit = std::function<void(TrialKind kind, std::span<const double> exposures)>;

/// Calls visit for the run itself, every stated trial, the expected exposure under the confusion,
/// and every draw of it. What is linear in weights and shares is summed up from the measures of the
/// run and the ground of each class; only other distances and draws measure again.
/// Law: the same bits for every number of workers and every size of tiles.
/// Throws: Error{usage} for class tables and matrices that do not fit the run's; as the stages.
void for_each_trial(const StageContext& context, const std::vector<StructureResult>& results,
                    const TrialVisit& visit);

/// How often the community is measured for trials, each time as much work as the run's own.
/// Requires: config.sensitivity is there. Throws: Error{usage}.
std::int64_t passes_of_trials(const Config& config, const FuelClassTable& classes);

} // namespace fuelring
