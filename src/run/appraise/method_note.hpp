// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "projects/project_account.hpp"
#include "run/inputs/inputs.hpp"

#include <string>

namespace fuelring {

struct Config;

/// One paragraph for whoever has to defend the figures of an appraisal, or puts them into an
/// application: what was counted around whom, by which map and settings, what is left out.
std::string method_note(const ProjectAccount& account, const Inputs& inputs, const Config& config);

} // namespace fuelring
