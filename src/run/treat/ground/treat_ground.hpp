// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/units.hpp"
#include "run/inputs/inputs.hpp"
#include "run/stages/treated_fuel.hpp"
#include "run/treat/ground/strip_layout.hpp"
#include "run/treat/ground/treat_areas.hpp"
#include "run/treat/ground/treat_zones.hpp"

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace fuelring {

/// The ground a plan is made on, from a run's rasters. Cells are those of the analysis grid.
struct TreatGround {
    plan::PlanGrid grid;
    std::vector<TreatZone> zones;          ///< by plan::ZoneId; [0] is no ground of a unit
    std::int64_t cells_kept_out = 0;       ///< conifer cells that constraints and barriers touch
    std::int64_t conifer_cells = 0;        ///< within reach
    std::int64_t cells_without_method = 0; ///< conifer cells too steep or too far from roads
    std::vector<LayerCrs> layers{};        ///< of [treat]: how they came into the analysis CRS
    std::vector<RequiredUnit> required{};  ///< by area, then zone
    std::vector<CellPart> parts{}; ///< cells of `grid` that may be treated in part, by row, col

    std::vector<plan::StripLine> strips{}; ///< by line; none where units are patches
    std::vector<std::vector<std::vector<CellPart>>> slice_parts{}; ///< by line and slice
    std::vector<std::string> parcels{}; ///< ids, by line; none where units are no parcels

    /// What a unit of this ground treats. `number` is what runs shall call it.
    std::vector<TreatedRun> treated(std::uint32_t number, const plan::Unit& unit) const;
};

/// Reads `rasters` (the folder of priority.tif and fuel_used.tif) block by block; only blocks that
/// a ring reaches take memory. Roofs, roads (group built), water, unmapped ground and what
/// keep_out or barriers touch belong to no zone; conifers over a roof may be cut all the same. Of
/// cells that closed areas cover in part, the rest may be treated; what required areas hold is
/// left to no other unit.
/// `rings` say which cells are near: reading tells the first three rings apart. The same ground for
/// every number of jobs. Throws: Error{input} and Error{output}; what `check_cancelled` throws.
TreatGround read_ground(const InputSettings& sources, const TreatmentSettings& settings,
                        const RingPlan& rings, const Inputs& inputs,
                        const std::filesystem::path& rasters, int jobs,
                        const std::function<void()>& check_cancelled);

} // namespace fuelring
