// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/map.hpp"
#include "run/schedule/shard_plan.hpp"

#include <nlohmann/json_fwd.hpp>

namespace fuelring {

/// Does one part of the work of `map` and leaves it as the file shard-K-of-N.part in the folder
/// options.out (else `NAME.shards` beside the output folder NAME), which is made where there is
/// none; `map` with all N parts publishes what one run would. A part that is there already and
/// whole stays as it is, unless options.full. Returns what the part holds.
/// Throws: Error of every kind; an earlier part is then untouched.
nlohmann::json run_shard(const Config& config, const Shard& shard, const MapOptions& options,
                         Log& log);

} // namespace fuelring
