// SPDX-License-Identifier: Apache-2.0

// The plan as a paragraph: read the ground, choose units, say what each constraint costs, and
// measure the community as the units will leave it.
#include "run/treat/treat_plan.hpp"

#include "run/access/unit_sites.hpp"
#include "run/inputs/systems.hpp"
#include "run/stages/stage_phases.hpp"
#include "run/stages/treated_fuel.hpp"
#include "run/treat/constraint_prices.hpp"
#include "run/treat/homes_helped.hpp"
#include "run/treat/planner.hpp"
#include "run/treat/treated_exposures.hpp"

#include <numeric>
#include <optional>
#include <utility>

namespace fuelring {

namespace {

double sum_of(const std::vector<std::optional<double>>& exposures)
{
    return std::accumulate(
        exposures.begin(), exposures.end(), 0.0,
        [](double sum, const std::optional<double>& e) { return sum + e.value_or(0); });
}

/// Without those of structures that are no homes.
std::vector<std::optional<double>> of_homes(std::vector<std::optional<double>> exposures,
                                            const Community& community)
{
    for (std::size_t i = 0; i < exposures.size(); ++i)
        if (!community.structures[i].home)
            exposures[i].reset();
    return exposures;
}

/// How steep the land of each unit is, and how far from a road.
void describe_sites(const std::vector<plan::Unit>& units, const Inputs& inputs,
                    const RoadNetwork* roads, int jobs, TreatmentResult& result)
{
    std::vector<std::vector<CellRun>> cells;
    for (const plan::Unit& unit : units)
        cells.push_back(unit.treated);
    result.has_slopes = inputs.elevation != nullptr;
    result.has_roads = roads != nullptr;
    const std::vector<UnitSite> sites = unit_sites(cells, inputs, roads, jobs);
    for (std::size_t u = 0; u < sites.size(); ++u) {
        result.rows[u].slope_percent = sites[u].slope_percent;
        result.rows[u].road_m = sites[u].road_m;
    }
}

/// Exposures before and after, how many homes fall by how much, and how many each unit is near.
void measure_effect(const StageContext& context, const TreatedFuel& treated,
                    TreatmentResult& result)
{
    // Measured, not computed from the plan: the saving that is printed comes from the same
    // integrals as the exposures.
    TreatedExposures measured = measure_treatment(context, treated);
    result.exposure.before = std::move(measured.before);
    result.exposure.after = std::move(measured.after);
    const std::vector<std::int64_t> near =
        homes_in_reach(context.community, context.raster.grid(), context.config.rings,
                       measured.rings_that_count, treated, result.rows.size(), context.jobs);
    for (std::size_t u = 0; u < result.rows.size(); ++u)
        result.rows[u].homes_in_reach = near[u];
    result.homes_helped =
        homes_helped(of_homes(result.exposure.before, context.community), result.exposure.after);
    result.sum_before = sum_of(result.exposure.before);
    result.sum_after = sum_of(result.exposure.after);
}

} // namespace

TreatmentResult plan_treatment(const StageContext& context, const Inputs& inputs,
                               const std::filesystem::path& rasters, Log& log)
{
    TreatmentResult result;
    std::vector<TreatedRun> runs;
    {
        context.progress.begin(choosing(context.community));
        Planner planner{context, *context.config.treatment, inputs, rasters};
        result.layers = planner.layers();
        std::optional<RoadNetwork> roads;
        if (context.config.inputs.roads) {
            roads.emplace(*context.config.inputs.roads, context.raster.analysis());
            result.layers.push_back(roads->layer_crs());
        }
        say_systems(result.layers, context.config.inputs.reprojected_within_m, log);
        const std::vector<plan::Unit> units = planner.plan(result);
        result.rows = planner.rows_of(units);
        for (std::size_t u = 0; u < units.size(); ++u) {
            const plan::CellRun& first = units[u].treated.front();
            const Grid& grid = context.raster.grid();
            result.rows[u].at = 0.5 * (grid.corner(first.col, first.row) +
                                       grid.corner(first.col + 1, first.row + 1));
        }
        describe_sites(units, inputs, roads ? &*roads : nullptr, context.jobs, result);
        runs = planner.treated(units);
    }
    // Cells of units are many; only their outlines and the treated raster are needed from here.
    const TreatedFuel treated{context.raster.classes(), runs};
    runs = {};
    result.constraints = constraint_prices(context, inputs, rasters, result.exposure_removed, log);
    measure_effect(context, treated, result);
    for (CurveRow& row : result.curve) {
        row.share_removed = result.sum_before > 0 ? row.exposure_removed / result.sum_before : 0;
        row.most_removable = result.sum_before > 0 ? row.most_removable / result.sum_before : 0;
    }
    return result;
}

} // namespace fuelring
