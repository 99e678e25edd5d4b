// SPDX-License-Identifier: Apache-2.0

// A plan in three forms: tables for those who carry it out, an object in run.json by which a later
// run tells whether the plan still fits its settings, and a few lines for whoever started it.
// Bounds are always told along with the plan: they say how much a better one could save at all.
#include "run/treat/treat_outputs.hpp"

#include "base/grouped.hpp"
#include "base/program/redacted_json.hpp"
#include "report/words/plan_words.hpp"
#include "run/inputs/systems.hpp"
#include "run/manifest/manifest.hpp"
#include "run/schedule/parallel.hpp"
#include "run/treat/homes_helped.hpp"
#include "run/treat/treat_plan.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <optional>

namespace fuelring {

using nlohmann::json;

namespace {

const std::vector<std::string> files_of_every_plan{
    "treatment_units.csv",  "benefit_curve.csv",  "treatment_exposure.csv", "treatment.gpkg",
    "treatment_units.csvt", "benefit_curve.csvt", "treatment_exposure.csvt"};

/// Goes with a plan whose methods depend on the ground.
const std::string steep_ground =
    "Slope and distance to a road say which method a place might take, not that it is safe there. "
    "On steep land machines overturn, logs and rocks roll, and bare soil slides: local codes and "
    "licensed people decide on site.";

const std::vector<std::string> files_of_years{"treatment_years.csv", "treatment_years.csvt"};
const std::vector<std::string> files_of_constraints{"treatment_constraints.csv",
                                                    "treatment_constraints.csvt"};

std::vector<std::string> files_with(bool years, bool constraints)
{
    std::vector<std::string> files = files_of_every_plan;
    if (years)
        files.insert(files.end(), files_of_years.begin(), files_of_years.end());
    if (constraints)
        files.insert(files.end(), files_of_constraints.begin(), files_of_constraints.end());
    return files;
}

} // namespace

const std::vector<std::string> files_of_treat = files_with(true, true);

std::vector<std::string> files_of(const TreatmentResult& result)
{
    return files_with(!result.years.empty(), !result.constraints.empty());
}

namespace {

/// Null where the configuration names no such layer.
json layer_json(const std::optional<LayerSource>& layer)
{
    return layer ? json{{"path", layer->path}, {"layer", layer->layer}} : json();
}

/// Only those that are set: a plan without them says nothing of them.
void add_constraints(const TreatmentSettings& s, json& settings)
{
    if (s.keep_out_by_cover)
        settings["keep_out"]["by"] = "cover";
    if (s.declined.any())
        settings["declined"] = {
            {"owners", s.declined.owners}, {"parcels", s.declined.parcels}, {"id", s.declined.id}};
    if (s.required)
        settings["required"] = layer_json(s.required);
    for (const OwnerThinning& thinning : s.thinning)
        settings["thinning"].push_back(
            {{"owner", thinning.owner}, {"residual_share", thinning.residual_share}});
    if (s.strip_form) {
        settings["shape"] = "strip";
        settings["strips"] = layer_json(s.strips);
        settings["strips"]["width_m"] = s.strip_form->width_m;
        settings["strips"]["least_length_m"] = s.strip_form->least_length_m;
    }
    if (s.parcel_blocks)
        settings["shape"] = "parcel";
    for (const TreatmentYear& year : s.years)
        settings["years"].push_back({{"year", year.year}, {"budget", year.budget}});
    if (!s.years.empty()) {
        settings["regrowth_per_year"] = s.regrowth_per_year;
        settings["upkeep_per_ha"] = s.upkeep_per_ha;
    }
    for (const TreatmentLimit& limit : s.limits) {
        json& told = settings["limits"].emplace_back(
            json{{"neighbourhood", limit.neighbourhood}, {"owner", limit.owner}, {"of", limit.of}});
        if (limit.at_least)
            told["at_least"] = *limit.at_least;
        if (limit.at_most)
            told["at_most"] = *limit.at_most;
    }
}

/// The settings that made a plan, for run.json.
json settings_json(const TreatmentSettings& s)
{
    json costs = json::array();
    for (const TreatmentCost& cost : s.costs) {
        json& told = costs.emplace_back(
            json{{"owner", cost.owner}, {"method", cost.method}, {"per_ha", cost.per_ha}});
        if (cost.max_slope_percent)
            told["max_slope_percent"] = *cost.max_slope_percent;
        if (cost.max_road_m)
            told["max_road_m"] = *cost.max_road_m;
    }
    json settings{{"budget", s.money ? json{{"money", *s.money}} : json{{"hectares", *s.hectares}}},
                  {"smallest_m2", s.smallest_m2},
                  {"gap_m", s.gap_m},
                  {"max_unit_m2", s.max_unit_m2},
                  {"residual_share", s.residual_share},
                  {"keep_out", layer_json(s.keep_out)},
                  {"barriers", layer_json(s.barriers)}};
    if (s.has_costs()) {
        settings["costs"] = costs;
        settings["fixed_cost_per_unit"] = s.fixed_cost_per_unit;
    }
    add_constraints(s, settings);
    return settings;
}

json bounds_json(const plan::Bounds& bounds)
{
    json larger = json::array();
    for (const plan::SizeBound& size : bounds.larger)
        larger.push_back(
            {{"smallest_m2", size.smallest_m2}, {"most_exposure_removable", size.most_points}});
    return {{"fractional_optimum", bounds.fractional},
            {"reachable", bounds.reachable},
            {"reachable_at_larger_sizes", larger}};
}

/// Structures with an exposure: sums are over these.
std::int64_t measured_in(const TreatmentResult& r)
{
    return std::count_if(r.exposure.before.begin(), r.exposure.before.end(),
                         [](const auto& exposure) { return exposure.has_value(); });
}

/// What the sum is over, where some structures are not measured.
std::string of_measured(const TreatmentResult& r)
{
    const std::int64_t measured = measured_in(r);
    const auto all = static_cast<std::int64_t>(r.exposure.before.size());
    return measured == all
               ? std::string{}
               : fmt::format(", {} of {} structures measured", grouped(measured), grouped(all));
}

double percent(double part, double whole)
{
    return whole > 0 ? 100 * part / whole : 0;
}

void say_effect(const TreatmentResult& r, Log& log)
{
    const auto told = std::find(points_of_help.begin(), points_of_help.end(), points_worth_telling);
    log.info(fmt::format(
        "clearing them would cut total exposure ({} points{}) by {}, which is {:.1f}%; {} homes "
        "improve by {:g} point or more",
        grouped_tenths(r.sum_before), of_measured(r), grouped_tenths(r.exposure_removed),
        percent(r.exposure_removed, r.sum_before),
        grouped(r.homes_helped[static_cast<std::size_t>(told - points_of_help.begin())]), *told));
}

report::UnitForm form_of(const TreatmentSettings& s)
{
    if (s.strip_form)
        return {"strip", s.smallest_m2, s.strip_form->width_m, s.strip_form->least_length_m};
    return {s.parcel_blocks ? "parcel" : "patch", s.smallest_m2, 0, 0};
}

void say_years(const TreatmentResult& r, Log& log)
{
    for (const YearRow& row : r.years)
        log.info(fmt::format("  {}: {} patches, {:.2f} ha; total exposure is then lower by {:.1f}",
                             row.year, grouped(row.units), row.conifer_ha, row.exposure_lower_by));
}

void say_constraints(const TreatmentResult& r, Log& log)
{
    if (!r.constraints.empty())
        log.info("what each constraint costs, in points of total exposure:");
    for (const ConstraintRow& row : r.constraints)
        log.info(fmt::format("  {}: {:.1f} (a plan without it removes {:.1f})",
                             report::constraint_in_words(row.constraint, row.name), row.points,
                             row.points_without));
}

} // namespace

json treatment_json(const TreatmentResult& r, const TreatmentSettings& settings)
{
    json strategies = json::array();
    for (const Strategy& s : r.strategies) {
        strategies.push_back({{"where", s.where},
                              {"conifer_ha", s.conifer_ha},
                              {"exposure_removed", s.exposure_removed}});
        if (s.cost)
            strategies.back()["cost"] = *s.cost;
    }
    json all{
        {"note",
         settings.has_method_limits() ? candidates_only + " " + steep_ground : candidates_only},
        {"settings", settings_json(settings)},
        {"systems", systems_json(r.layers)},
        {"units", r.units},
        {"conifer_ha", r.conifer_ha},
        {"exposure_removed", r.exposure_removed},
        {"share_of_exposure_removed", r.sum_before > 0 ? r.exposure_removed / r.sum_before : 0.0},
        {"structures", r.exposure.before.size()},
        {"structures_measured", measured_in(r)},
        {"sum_exposure_before", r.sum_before},
        {"sum_exposure_after", r.sum_after},
        {"bounds", bounds_json(r.bounds)},
        {"strategies", strategies},
        {"conifer_in_reach_ha", r.conifer_in_reach_ha},
        {"conifer_cells_in_reach", r.conifer_cells},
        {"conifer_cells_kept_out", r.cells_kept_out}};
    if (r.cost)
        all["cost"] = *r.cost;
    if (settings.has_method_limits())
        all["conifer_cells_without_method"] = r.cells_without_method;
    for (const YearRow& row : r.years)
        all["years"].push_back({{"year", row.year},
                                {"budget", row.budget},
                                {"units", row.units},
                                {"conifer_ha", row.conifer_ha},
                                {"cost", row.cost},
                                {"upkeep", row.upkeep},
                                {"exposure_removed", row.exposure_removed},
                                {"exposure_lower_by", row.exposure_lower_by}});
    for (const ConstraintRow& row : r.constraints)
        all["constraints"].push_back({{"constraint", row.constraint},
                                      {"name", row.name},
                                      {"exposure_removed_without", row.points_without},
                                      {"points", row.points}});
    for (std::size_t k = 0; k < points_of_help.size(); ++k)
        all[fmt::format("homes_helped_{:g}", points_of_help[k])] = r.homes_helped[k];
    return all;
}

bool is_treatment_of(const json& treatment, const TreatmentSettings& settings)
{
    return treatment.is_object() && treatment.contains("settings") &&
           treatment.at("settings") == redacted_json(settings_json(settings));
}

void say_treatment(const TreatmentResult& r, const Config& config, Log& log)
{
    const TreatmentSettings& s = config.treatment.value();
    const auto money = [&](double amount) { return grouped_money(amount, config.report.currency); };
    if (r.units == 0)
        log.warn(r.conifer_in_reach_ha > 0
                     ? fmt::format("no patches: the budget does not pay for {:g} m2 of conifers",
                                   s.smallest_m2)
                     : std::string{"no patches: no conifers within reach may be treated"});
    const std::string spent =
        r.cost ? fmt::format(", for about {}", money(*r.cost)) : std::string{};
    log.info(fmt::format("{} patches, {:.2f} ha of conifers in all{} (budget {})", grouped(r.units),
                         r.conifer_ha, spent,
                         s.money ? money(*s.money) : fmt::format("{:.2f} ha", *s.hectares)));
    say_effect(r, log);
    log.info(fmt::format(
        "within this budget, no plan made of {} can lower it by more than {:.1f}%; cutting cell by "
        "cell could reach at most {:.1f}%",
        report::units_in_words(form_of(s), "m2"), percent(r.bounds.reachable, r.sum_before),
        percent(r.bounds.fractional, r.sum_before)));
    for (const plan::SizeBound& size : r.bounds.larger)
        log.info(fmt::format("  patches of at least {:g} m2: at most {:.1f}%", size.smallest_m2,
                             percent(size.most_points, r.sum_before)));
    if (r.strategies.size() > 1) // else there is nothing to compare
        for (const Strategy& strategy : r.strategies)
            log.info(fmt::format("  for comparison, the same budget spent {}: {:.2f} ha, {:.1f}%",
                                 strategy.where, strategy.conifer_ha,
                                 percent(strategy.exposure_removed, r.sum_before)));
    say_years(r, log);
    say_constraints(r, log);
    if (r.cells_without_method > 0)
        log.info(fmt::format("{} conifer cells are left out: too steep or too far from a road for "
                             "every method in treat.costs",
                             grouped(r.cells_without_method)));
    if (s.has_method_limits())
        log.info(steep_ground);
    log.info(caution);
    log.info(candidates_only);
}

void write_treatment(const std::filesystem::path& staging, const TreatmentResult& r,
                     const TreatmentSettings& settings, const Inputs& inputs, bool bom, int jobs)
{
    const Community& community = inputs.community;
    const CostColumn cost = r.cost ? CostColumn::present : CostColumn::absent;
    const UnitColumns columns{cost,
                              !settings.thinning.empty(),
                              settings.required.has_value(),
                              !settings.years.empty(),
                              settings.strip_form.has_value(),
                              r.has_slopes,
                              r.has_roads,
                              settings.parcel_blocks};
    run_in_parallel(
        jobs,
        {[&] {
             write_treatment_gpkg(staging / "treatment.gpkg", r.rows, columns, community,
                                  r.exposure, inputs.raster->grid(), inputs.raster->crs());
         },
         [&] { write_units_csv(staging / "treatment_units.csv", r.rows, columns, bom); },
         [&] {
             if (!r.years.empty())
                 write_years_csv(staging / "treatment_years.csv", r.years, bom);
             if (!r.constraints.empty())
                 write_constraints_csv(staging / "treatment_constraints.csv", r.constraints, bom);
         },
         [&] { write_curve_csv(staging / "benefit_curve.csv", r.curve, cost, bom); },
         [&] {
             write_exposure_csv(staging / "treatment_exposure.csv", community, r.exposure, bom);
         }});
}

} // namespace fuelring
