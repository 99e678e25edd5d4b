// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/inputs/inputs.hpp"
#include "run/treat/treat_plan.hpp"

#include <string>

namespace fuelring {

/// One paragraph for whoever has to defend a plan, or puts it into an application: what it counts,
/// by which map and settings, what it keeps to, and how far from the best plan it may be.
/// Requires: config has [treat].
std::string treat_method(const TreatmentResult& result, const Inputs& inputs, const Config& config);

} // namespace fuelring
