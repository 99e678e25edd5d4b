// SPDX-License-Identifier: Apache-2.0

// The plan as a paragraph: read the ground, bound what can be done, spend the budget, compare,
// make units, and measure the community as the units will leave it.
#include "run/treat/treat_plan.hpp"

#include "exposure/areas.hpp"
#include "run/inputs/systems.hpp"
#include "run/stages/homes_helped.hpp"
#include "run/stages/share_out_among.hpp"
#include "run/stages/stage_phases.hpp"
#include "run/stages/treated_fuel.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>
#include <optional>

namespace fuelring {

namespace {

constexpr int anywhere = 3; ///< no ring lies further out than this
const std::vector<double> larger_sizes_m2{25, 50, 100, 200};

/// The parts of the work that need the cells; they are gone when it ends.
class Planner {
public:
    Planner(const StageContext& context, const Inputs& inputs, const std::filesystem::path& rasters)
        : settings_(*context.config.treatment), rings_(context.config.rings),
          share_out_(share_out_among(context.jobs, context.check_cancelled)),
          ground_(read_ground(context.config.inputs, settings_, rings_, inputs, rasters,
                              context.jobs, context.check_cancelled)),
          rules_(rules_of(settings_)),
          budget_(settings_.money ? *settings_.money : *settings_.hectares * m2_per_ha)
    {}

    const std::vector<LayerCrs>& layers() const { return ground_.layers; }

    /// Best value for money first.
    std::vector<plan::Unit> plan(TreatmentResult& result)
    {
        result.conifer_cells = ground_.conifer_cells;
        result.cells_kept_out = ground_.cells_kept_out;
        const plan::Supply supply{ground_.grid, anywhere, share_out_};
        result.conifer_in_reach_ha =
            plan::conifer_unit_m2 * static_cast<double>(supply.conifer()) / m2_per_ha;
        std::vector<double> larger;
        std::copy_if(larger_sizes_m2.begin(), larger_sizes_m2.end(), std::back_inserter(larger),
                     [&](double m2) { return m2 > rules_.smallest_m2; });
        result.bounds = plan::bounds_of(ground_.grid, rules_, budget_, supply, larger, share_out_);
        plan::PricePlan best = best_plan(result);
        plan::finish_units(ground_.grid, rules_, share_out_, best.units);
        result.units = best.totals.units;
        result.conifer_ha = best.totals.conifer_ha();
        result.cost = money(best.totals.money);
        result.exposure_removed = best.totals.removed_points();
        draw_curve(supply, result);
        return std::move(best.units);
    }

    UnitRow row_of(const plan::Unit& unit) const
    {
        const TreatZone& zone = ground_.zones[unit.zone];
        UnitRow row;
        row.owner = zone.owner;
        row.neighbourhood = zone.neighbourhood;
        row.method = zone.method;
        row.conifer_m2 = unit.conifer_m2();
        row.area_m2 = unit.area_m2();
        row.cost = money(unit.money);
        row.exposure_removed = unit.removed_points();
        row.loops = plan::outline_of_cells(unit.treated, unit.bridges);
        return row;
    }

private:
    static plan::UnitRules rules_of(const TreatmentSettings& s)
    {
        constexpr int cents = 100;
        constexpr int m2_decimals = 1'000;
        return {s.smallest_m2,         s.gap_m,
                s.fixed_cost_per_unit, // a budget of hectares has none
                s.max_unit_m2,         s.money ? cents : m2_decimals,
                s.fixed_cost_per_unit};
    }

    std::optional<double> money(double amount) const
    {
        return settings_.has_costs() ? std::optional{amount} : std::nullopt;
    }

    /// The budget spent within the first ring, the first two, the first three, anywhere. What is
    /// best within fewer rings may be done within more, so a wider choice never saves less.
    plan::PricePlan best_plan(TreatmentResult& result) const
    {
        const auto rings = std::min<std::size_t>(anywhere, rings_.outer_m.size() - 1);
        plan::PricePlan best;
        for (std::size_t ring = 0; ring <= rings; ++ring) {
            const bool last = ring == rings;
            plan::PricePlan wider =
                plan::plan_within(ground_.grid, rules_, budget_,
                                  last ? anywhere : static_cast<int>(ring), share_out_);
            // Choosing is not exact: with more ground it may still find less.
            if (wider.totals.points >= best.totals.points)
                best = std::move(wider);
            result.strategies.push_back(
                {last ? "anywhere" : fmt::format("within {:g} m", rings_.outer_m[ring]),
                 best.totals.conifer_ha(), money(best.totals.money), best.totals.removed_points()});
        }
        return best;
    }

    void draw_curve(const plan::Supply& supply, TreatmentResult& result) const
    {
        for (const plan::CurvePoint& point :
             plan::benefit_curve(ground_.grid, rules_, supply, share_out_))
            result.curve.push_back({point.totals.units, point.totals.conifer_ha(),
                                    money(point.totals.money), point.totals.removed_points(), 0,
                                    point.most_points});
    }

    const TreatmentSettings& settings_;
    const RingPlan& rings_;
    plan::ShareOut share_out_;
    TreatGround ground_;
    plan::UnitRules rules_;
    double budget_; ///< money, or m2 of conifers
};

std::vector<std::optional<double>> exposures(const std::vector<StructureMeasure>& measures,
                                             const RingPlan& plan)
{
    std::vector<std::optional<double>> all;
    all.reserve(measures.size());
    for (const StructureMeasure& measure : measures)
        all.push_back(exposure(measure, plan));
    return all;
}

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

/// Exposures before and after, how many homes fall by how much, and how many each unit is near.
void measure_effect(const StageContext& context, const TreatedFuel& treated,
                    TreatmentResult& result)
{
    const RingPlan& rings = context.config.rings;
    WorkTimes times;
    {
        const std::vector<StructureMeasure> before = measure_structures(context, times);
        result.exposure.before = exposures(before, rings);
        const std::vector<std::int64_t> near =
            homes_in_reach(context.community, context.raster.grid(), rings, before, treated,
                           result.rows.size(), context.jobs);
        for (std::size_t u = 0; u < result.rows.size(); ++u)
            result.rows[u].homes_in_reach = near[u];
    }
    // Measured, not computed from the plan: the saving that is printed comes from the same
    // integrals as the exposures.
    StageContext after = context;
    after.treated = &treated;
    result.exposure.after = exposures(measure_structures(after, times), rings);
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
    std::vector<plan::Unit> units;
    {
        context.progress.begin(choosing(context.community));
        Planner planner{context, inputs, rasters};
        result.layers = planner.layers();
        say_systems(result.layers, context.config.inputs.reprojected_within_m, log);
        units = planner.plan(result);
        for (const plan::Unit& unit : units) {
            UnitRow& row = result.rows.emplace_back(planner.row_of(unit));
            row.rank = static_cast<std::int64_t>(result.rows.size());
            const plan::CellRun& first = unit.treated.front();
            const Grid& grid = context.raster.grid();
            row.at = 0.5 * (grid.corner(first.col, first.row) +
                            grid.corner(first.col + 1, first.row + 1));
        }
    }
    const TreatedFuel treated{context.raster.classes(), units,
                              plan::Residual{context.config.treatment->residual_share}};
    // Cells of units are many; only their outlines and the treated raster are needed from here.
    units = {};
    measure_effect(context, treated, result);
    for (CurveRow& row : result.curve) {
        row.share_removed = result.sum_before > 0 ? row.exposure_removed / result.sum_before : 0;
        row.most_removable = result.sum_before > 0 ? row.most_removable / result.sum_before : 0;
    }
    return result;
}

} // namespace fuelring
