// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/plan_grid.hpp"
#include "run/inputs/inputs.hpp"

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace fuelring {

/// Owner class and neighbourhood of a zone, and what treating conifers costs there.
struct TreatZone {
    std::string owner;         ///< "no_parcel" off the parcels; empty without a parcel layer
    std::string neighbourhood; ///< "(outside)" off them; empty without neighbourhoods
    std::string method;        ///< empty without costs
    double money_per_m2 = 0;   ///< 0 without costs
};

/// The ground a plan is made on, from a run's rasters. Cells are those of the analysis grid.
struct TreatGround {
    plan::PlanGrid grid;
    std::vector<TreatZone> zones;    ///< by plan::ZoneId; [0] is no ground of a unit
    std::int64_t cells_kept_out = 0; ///< conifer cells that constraints and barriers touch
    std::int64_t conifer_cells = 0;  ///< within reach
    std::vector<LayerCrs> layers{};  ///< of [treat]: how they came into the analysis CRS
};

/// Reads `rasters` (the folder of priority.tif and fuel_used.tif) block by block; only blocks that
/// a ring reaches take memory. Roofs, roads (group built), water, unmapped ground and what
/// keep_out or barriers touch belong to no zone; conifers over a roof may be cut all the same.
/// `rings` say which cells are near: reading tells the first three rings apart. The same ground for
/// every number of jobs. Throws: Error{input} and Error{output}; what `check_cancelled` throws.
TreatGround read_ground(const InputSettings& sources, const TreatmentSettings& settings,
                        const RingPlan& rings, const Inputs& inputs,
                        const std::filesystem::path& rasters, int jobs,
                        const std::function<void()>& check_cancelled);

} // namespace fuelring
