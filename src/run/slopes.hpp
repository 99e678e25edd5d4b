// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/inputs.hpp"

#include <functional>
#include <memory>

namespace fuelring {

class Reuse;

/// The ground within this distance of the walls makes a slope: the third distance of the
/// configuration, the widest where there are fewer.
double slope_within_m(const RingPlan& plan);

/// Opens the elevation raster and says in the log what it is; a unit that is not known is a
/// warning. Throws: Error{input}.
std::unique_ptr<ElevationRaster> open_elevation(const ElevationSource& source,
                                                const AnalysisGrid& analysis, Inputs& inputs,
                                                Log& log);

/// Decoded blocks that GDAL keeps while slopes are found; fewer under a memory limit.
constexpr std::size_t height_cache_bytes(bool memory_is_bounded)
{
    return memory_is_bounded ? 16'000'000 : 64'000'000;
}

/// Fills in Community::terrain, how rings stretch, the counts and the warnings; does nothing
/// without an elevation raster. A structure's figures depend on itself and the raster alone;
/// `reuse` is asked for those of an earlier run.
/// Throws: Error{input} when a block cannot be read, or when all structures are off the raster.
void find_slopes(Inputs& inputs, const Config& config, int jobs,
                 const std::function<void()>& check_cancelled, Reuse* reuse = nullptr);

/// "slopes: 228 of 230 structures ..." and how rings stretch, for the log.
void say_slopes(const Inputs& inputs, const Config& config, Log& log);

/// `elevation` of run.json. Requires: there is an elevation raster.
nlohmann::json slopes_json(const Inputs& inputs);

} // namespace fuelring
