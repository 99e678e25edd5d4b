// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/access/road_network.hpp"
#include "run/inputs/inputs.hpp"

#include <optional>
#include <vector>

namespace fuelring {

/// How steep the land of a treatment unit is, and how far from a road.
struct UnitSite {
    std::optional<double> slope_percent; ///< mean over its cells whose slope is known
    std::optional<double> road_m;        ///< the least distance from one of its cells
};

/// Of each unit, given by the cells that it treats. No slopes without an elevation raster, no
/// distances without roads. Law: the same for every number of jobs. Throws: Error{input}.
std::vector<UnitSite> unit_sites(const std::vector<std::vector<CellRun>>& units,
                                 const Inputs& inputs, const RoadNetwork* roads, int jobs);

} // namespace fuelring
