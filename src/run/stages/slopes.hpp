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
/// Afterwards community.terrain[i] belongs to structure i; one without a slope keeps round rings
/// and is counted in a warning. Also bounds GDAL's cache of blocks, for the whole process.
/// Throws: Error{input} when a block cannot be read, or when all structures are off the raster;
/// what `check_cancelled` throws, which workers call once for each tile.
void find_slopes(Inputs& inputs, const Config& config, int jobs,
                 const std::function<void()>& check_cancelled, Reuse* reuse = nullptr);

/// "slope found for 228 of 230 structures ..." and how rings stretch, with --verbose. Nothing
/// without an elevation raster. Requires: find_slopes has run.
void say_slopes(const Inputs& inputs, const StretchTable& table, Log& log);

/// `elevation` of run.json: the raster, its unit and why that was taken, counts of structures.
/// Requires: there is an elevation raster, and find_slopes has run.
nlohmann::json slopes_json(const Inputs& inputs);

} // namespace fuelring
