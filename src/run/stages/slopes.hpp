// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/slope_distance.hpp"
#include "run/inputs/inputs.hpp"

#include <functional>
#include <memory>

namespace fuelring {

class Reuse;

/// Fills in Community::terrain, how rings stretch, the counts and the warnings; does nothing
/// without an elevation raster. A structure's figures depend on itself and the raster alone;
/// `reuse` is asked for those of an earlier run.
/// Throws: Error{input} when a block cannot be read, or when all structures are off the raster.
void find_slopes(Inputs& inputs, const Config& config, int jobs,
                 const std::function<void()>& check_cancelled, Reuse* reuse = nullptr);

/// "slope found for 228 of 230 structures ..." and how rings stretch, with --verbose.
void say_slopes(const Inputs& inputs, const StretchTable& table, Log& log);

/// `elevation` of run.json. Requires: there is an elevation raster.
nlohmann::json slopes_json(const Inputs& inputs);

} // namespace fuelring
