// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/progress.hpp"
#include "exposure/community.hpp"
#include "io/raster/fuel_raster.hpp"
#include "run/config/config.hpp"

#include <functional>

namespace fuelring {

class Reuse;
struct Share;

/// What the parallel stages work on and with. Owns nothing: all that it names must outlive the
/// stage. Workers only read config, community and raster; `progress`, `reuse` and `check_cancelled`
/// are called from all of them. A null pointer leaves its part out: nothing reused, the whole
/// community.
struct StageContext {
    const Config& config;
    const Community& community;
    const FuelRaster& raster;
    int jobs = 1;
    int tile_cells = default_tile_cells;
    Progress& progress;
    std::function<void()> check_cancelled; ///< throws when the run should stop
    Reuse* reuse = nullptr;                ///< what an earlier run left; asked first, told after
    const Share* share = nullptr;          ///< do this part of the work only
};

} // namespace fuelring
