// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/inputs/inputs.hpp"
#include "run/schedule/memory.hpp"

namespace fuelring {

/// The plan for a run with workers_of it: by the figures of its community, rings and draws. Says
/// where a limit changed it, and bounds GDAL's cache.
MemoryPlan plan_memory(const Inputs& inputs, const Config& config, int jobs_asked, Log& log);

} // namespace fuelring
