// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/config/config.hpp"

#include <map>
#include <string>

namespace fuelring {

/// What a run as a whole depends on: digests in hex by role (`configuration`, `program`,
/// `environment`, `grids_of_proj`, a key of the configuration for each input).
using InputDigests = std::map<std::string, std::string>;

/// Digests of the program, the configuration and every input file with what lies beside it under
/// its name, whose bytes are read each time. Empty where an input is no local file, may refer to
/// others, or cannot be read: then nobody can tell whether it changed.
InputDigests input_digests(const Config& config);
/// Among them: what PROJ has to choose operations from.
inline constexpr const char* grids_of_proj = "grids of PROJ";

/// Of the program itself and the layout of what it keeps, so that a changed build never takes
/// another's results for its own.
std::string program_digest();

} // namespace fuelring
