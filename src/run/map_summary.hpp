// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "base/warnings.hpp"
#include "exposure/neighbourhoods.hpp"
#include "io/run_folder/previous_run.hpp"
#include "run/inputs/inputs.hpp"

#include <nlohmann/json_fwd.hpp>

#include <vector>

namespace fuelring {

/// The last lines of `map` for people, at most 80 columns wide save for the path: the
/// neighbourhoods that come first, what was left out, counts, time and memory, the caution, and
/// where the outputs are. Nothing is said that run.json does not say.
void say_summary(const nlohmann::json& summary, const std::vector<NeighbourhoodRow>& neighbourhoods,
                 const Warnings& warnings, double near_m, Log& log);

/// Says that the run that lies in the folder stays as it is, with its warnings; its summary, with
/// `nothing_changed`. Throws: json::exception for a run.json that `map` did not write.
nlohmann::json say_same_run(const PreviousRun& same, Log& log);

/// Adds the warning `owner_splits_open` for structures whose shares by owner are not known; none so
/// far in any test.
void warn_of_open_splits(const std::vector<MeasuredStructure>& measures, Inputs& inputs);

} // namespace fuelring
