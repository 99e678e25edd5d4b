// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/treatment_out.hpp"
#include "plan/treatment_plan.hpp"
#include "run/stages/stages.hpp"
#include "run/treat/ground/treat_ground.hpp"

#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// What spending the budget on part of the ground saves, as points of exposure.
/// Law: a wider part of the ground never saves less.
struct Strategy {
    std::string where; ///< "within 10 m", "anywhere"
    double conifer_ha = 0;
    std::optional<double> cost; ///< money; empty without costs
    double exposure_removed = 0;
};

/// A plan with everything that is said about it. Sums of exposure are over structures that have
/// one.
struct TreatmentResult {
    std::vector<UnitRow> rows; ///< best value for money first
    std::vector<CurveRow> curve;
    std::vector<Strategy> strategies;
    std::vector<YearRow> years;             ///< none where the configuration lists none
    std::vector<ConstraintRow> constraints; ///< none where no key of [treat] asks for prices
    plan::Bounds bounds;
    PlannedExposure exposure;
    std::vector<LayerCrs> layers; ///< of [treat]: how they came into the analysis CRS
    std::int64_t units = 0;
    std::vector<std::int64_t> homes_helped; ///< by points_of_help
    double conifer_ha = 0;                  ///< sums over the rows as they are written
    std::optional<double> cost;             ///< money; empty without costs
    double exposure_removed = 0;            ///< points
    double sum_before = 0;                  ///< the community's exposure, measured
    double sum_after = 0;                   ///< measured on the ground as units leave it
    std::int64_t conifer_cells = 0;
    std::int64_t cells_kept_out = 0;
    std::int64_t cells_without_method = 0; ///< too steep, or too far from roads
    double conifer_in_reach_ha = 0;        ///< that units may hold at all
    bool has_slopes = false;               ///< rows have the slope of their land
    bool has_roads = false;                ///< rows have the distance to a road
};

/// Chooses units within the budget and measures every structure before and after. `rasters` is the
/// folder of priority.tif and fuel_used.tif of the run that `context` belongs to.
/// Requires: context.config has [treat]; rings are stretched as in that run.
/// Throws: Error{input, output, usage}; what context.check_cancelled throws.
TreatmentResult plan_treatment(const StageContext& context, const Inputs& inputs,
                               const std::filesystem::path& rasters, Log& log);

} // namespace fuelring
