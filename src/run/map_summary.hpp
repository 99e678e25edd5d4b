// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "base/warnings.hpp"
#include "exposure/neighbourhoods.hpp"

#include <nlohmann/json_fwd.hpp>

#include <vector>

namespace fuelring {

/// The last lines of `map` for people, at most 80 columns wide save for the path: the
/// neighbourhoods that come first, what was left out, counts, time and memory, the caution, and
/// where the outputs are. Nothing is said that run.json does not say.
void say_summary(const nlohmann::json& summary, const std::vector<NeighbourhoodRow>& neighbourhoods,
                 const Warnings& warnings, double near_m, Log& log);

} // namespace fuelring
