// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/manifest/manifest.hpp"

#include <string>

namespace fuelring {

/// One paragraph for whoever has to defend the figures of a run, or puts them into an application:
/// which buildings, which map, which settings, what was corrected, what is not known, how to quote
/// ranges. The same for the same run: it names no time of day.
std::string map_method(const ManifestParts& parts, const Config& config);

} // namespace fuelring
