// SPDX-License-Identifier: Apache-2.0

// From the ground to units: what is required, bounds of what can be done, the budget spent as well
// as can be, and on part of the ground for comparison.
#include "run/treat/planner.hpp"

#include "exposure/areas.hpp"
#include "run/stages/share_out_among.hpp"
#include "run/treat/constraint_prices.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>

namespace fuelring {

namespace {

constexpr int anywhere = 3; ///< no ring lies further out than this
const std::vector<double> larger_sizes_m2{25, 50, 100, 200};

plan::UnitRules rules_of(const TreatmentSettings& s)
{
    constexpr int cents = 100;
    constexpr int m2_decimals = 1'000;
    return {s.smallest_m2,         s.gap_m,
            s.fixed_cost_per_unit, // a budget of hectares has none
            s.max_unit_m2,         s.money ? cents : m2_decimals,
            s.fixed_cost_per_unit};
}

double budget_of(const TreatmentSettings& s)
{
    return s.money ? *s.money : *s.hectares * m2_per_ha;
}

/// A budget as its author writes it.
std::string in_words(const TreatmentSettings& s, double amount)
{
    return s.money ? fmt::format("{:.2f}", amount) : fmt::format("{:.4f} ha", amount / m2_per_ha);
}

/// "neighbourhood 'Far Bank'", "owner class 'crown'"
std::string name_of_land(const TreatmentLimit& limit)
{
    const std::string where =
        limit.neighbourhood.empty() ? "" : fmt::format("neighbourhood '{}'", limit.neighbourhood);
    const std::string whose =
        limit.owner.empty() ? "" : fmt::format("owner class '{}'", limit.owner);
    return where + (where.empty() || whose.empty() ? "" : " and the ") + whose;
}

} // namespace

Planner::Planner(const StageContext& context, const TreatmentSettings& settings,
                 const Inputs& inputs, const std::filesystem::path& rasters)
    : settings_(settings), rings_(context.config.rings),
      share_out_(share_out_among(context.jobs, context.check_cancelled,
                                 [&progress = context.progress] { progress.advance(1); })),
      ground_(read_ground(context.config.inputs, settings_, rings_, inputs, rasters, context.jobs,
                          context.check_cancelled)),
      rules_(rules_of(settings_)), budget_(budget_of(settings_))
{
    add_required();
}

void Planner::add_required()
{
    for (const RequiredUnit& required : ground_.required) {
        required_.units.push_back(required.unit);
        plan::set_cost(ground_.grid, rules_, required_.units.back());
    }
    required_.totals = plan::totals_of(required_.units, rules_);
    if (required_.totals.cost > budget_)
        throw Error{Failure::usage,
                    fmt::format("what is required costs {}, and the budget is {}",
                                in_words(settings_, required_.totals.cost),
                                in_words(settings_, budget_)),
                    "treat.required", "raise treat.budget, or require less"};
    budget_ -= required_.totals.cost;
}

plan::PlanTotals Planner::with_required(const plan::PlanTotals& chosen) const
{
    plan::PlanTotals all = required_.totals;
    all.conifer_milli_m2 += chosen.conifer_milli_m2;
    all.points += chosen.points;
    all.units += chosen.units;
    all.cost += chosen.cost;
    all.money += chosen.money;
    return all;
}

std::vector<plan::Unit> Planner::plan(TreatmentResult& result)
{
    result.conifer_cells = ground_.conifer_cells;
    result.cells_kept_out = ground_.cells_kept_out;
    result.cells_without_method = ground_.cells_without_method;
    const plan::Supply supply{ground_.grid, anywhere, share_out_};
    result.conifer_in_reach_ha = (plan::conifer_unit_m2 * static_cast<double>(supply.conifer()) +
                                  required_.totals.conifer_m2()) /
                                 m2_per_ha;
    result.bounds = bounds(supply);
    const double required_points = required_.totals.removed_points();
    result.bounds.fractional += required_points;
    result.bounds.reachable += required_points;
    for (plan::SizeBound& size : result.bounds.larger)
        size.most_points += required_points;

    plan::PricePlan best = best_plan(result);
    if (!settings_.has_drawn_units())
        plan::build_bridges(ground_.grid, rules_, share_out_, best.units);
    best.units.insert(best.units.end(), required_.units.begin(), required_.units.end());
    plan::sort_by_value(best.units);
    const plan::PlanTotals totals = plan::totals_of(best.units, rules_);
    result.units = totals.units;
    result.conifer_ha = totals.conifer_ha();
    result.cost = money(totals.money);
    result.exposure_removed = totals.removed_points();
    draw_curve(supply, result);
    return std::move(best.units);
}

plan::StripGround Planner::strips() const
{
    const double least_m = settings_.strip_form ? settings_.strip_form->least_length_m : 0;
    return {ground_.grid, rules_, ground_.strips, least_m};
}

std::unique_ptr<plan::ChoiceGround> Planner::choice() const
{
    if (settings_.has_drawn_units())
        return std::make_unique<plan::StripGround>(strips());
    return std::make_unique<plan::PatchGround>(ground_.grid, rules_, share_out_);
}

const plan::GapLinks& Planner::links()
{
    if (!links_)
        links_.emplace(ground_.grid, rules_.gap_m, anywhere, share_out_);
    return *links_;
}

plan::Bounds Planner::bounds(const plan::Supply& supply)
{
    if (settings_.has_drawn_units()) {
        const double fractional = supply.most_points(budget_);
        return {fractional, std::min(fractional, strips().most_points(budget_))};
    }
    std::vector<double> larger;
    std::copy_if(larger_sizes_m2.begin(), larger_sizes_m2.end(), std::back_inserter(larger),
                 [&](double m2) { return m2 > rules_.smallest_m2; });
    return plan::bounds_of(ground_.grid, rules_, budget_, supply, larger, links(), share_out_);
}

double Planner::points()
{
    bounds(plan::Supply{ground_.grid, anywhere, share_out_});
    TreatmentResult unused;
    return with_required(best_plan(unused).totals).removed_points();
}

UnitRow Planner::row_of(const plan::Unit& unit) const
{
    const TreatZone& zone = ground_.zones[unit.zone];
    UnitRow row;
    row.owner = zone.owner;
    row.neighbourhood = zone.neighbourhood;
    row.method = zone.method;
    row.conifer_m2 = unit.conifer_m2();
    row.area_m2 = unit.area_m2();
    row.residual_share = zone.residual.share;
    row.year = unit.year;
    for (std::uint32_t k = unit.strip.first; k < unit.strip.end; ++k)
        row.length_m += ground_.strips[unit.strip.line][k].length_m;
    if (unit.strip.is_strip() && settings_.parcel_blocks)
        row.parcel = ground_.parcels[unit.strip.line];
    row.required = unit.required > 0 ? "yes" : "no";
    row.cost = money(unit.money);
    row.exposure_removed = unit.removed_points();
    row.loops = unit.required > 0 || unit.strip.is_strip()
                    ? plan::outline_of_patches(unit.treated)
                    : plan::outline_of_cells(unit.treated, unit.bridges);
    return row;
}

std::vector<UnitRow> Planner::rows_of(const std::vector<plan::Unit>& units) const
{
    std::vector<UnitRow> rows(units.size());
    plan::for_each_shared(share_out_, units.size(), [&](std::size_t u) {
        rows[u] = row_of(units[u]);
        rows[u].rank = static_cast<std::int64_t>(u) + 1;
    });
    return rows;
}

std::vector<TreatedRun> Planner::treated(const std::vector<plan::Unit>& units) const
{
    std::vector<TreatedRun> all;
    for (std::uint32_t u = 0; u < units.size(); ++u) {
        const std::vector<TreatedRun> runs = ground_.treated(u, units[u]);
        all.insert(all.end(), runs.begin(), runs.end());
    }
    return all;
}

std::optional<double> Planner::money(double amount) const
{
    return settings_.has_costs() ? std::optional{amount} : std::nullopt;
}

Strategy Planner::strategy(std::string where, const plan::PlanTotals& chosen) const
{
    const plan::PlanTotals all = with_required(chosen);
    return {std::move(where), all.conifer_ha(), money(all.money), all.removed_points()};
}

std::vector<plan::Limit> Planner::limits() const
{
    std::vector<plan::Limit> limits;
    for (const TreatmentLimit& wished : settings_.limits) {
        const bool hectares = wished.of == "hectares";
        plan::Limit limit;
        limit.of = hectares                ? plan::Limit::Of::conifer_m2
                   : wished.of == "points" ? plan::Limit::Of::points
                                           : plan::Limit::Of::money;
        const double unit = hectares ? m2_per_ha : 1;
        if (wished.at_least)
            limit.at_least = unit * *wished.at_least;
        if (wished.at_most)
            limit.at_most = unit * *wished.at_most;
        bool met = false;
        for (const TreatZone& zone : ground_.zones) {
            const bool counts =
                (wished.neighbourhood.empty() || zone.neighbourhood == wished.neighbourhood) &&
                (wished.owner.empty() || zone.owner == wished.owner);
            limit.zones.push_back(std::uint8_t{counts});
            met = met || counts;
        }
        if (!met)
            throw Error{Failure::usage, fmt::format("no land has the {}", name_of_land(wished)),
                        "treat.limits", "correct its name"};
        limits.push_back(std::move(limit));
    }
    return limits;
}

Error Planner::broken_limit(std::size_t number, double found) const
{
    const TreatmentLimit& limit = settings_.limits[number];
    return Error{Failure::usage,
                 fmt::format("no plan was found with a {}: it comes to {:.4g}", name_of(limit),
                             found / (limit.of == "hectares" ? m2_per_ha : 1)),
                 "treat.limits", "change this limit or another one, or raise the budget"};
}

plan::PricePlan Planner::limited_plan(TreatmentResult& result) const
{
    plan::LimitedPlan limited =
        plan::plan_within_limits(*choice(), rules_, budget_, limits(), required_.units);
    if (limited.broken)
        throw broken_limit(*limited.broken, limited.found);
    result.strategies.push_back(strategy("anywhere", limited.plan.totals));
    return std::move(limited.plan);
}

plan::PricePlan Planner::years_plan(TreatmentResult& result)
{
    plan::YearRules rules{settings_.years.front().year,
                          {},
                          settings_.upkeep_per_ha / m2_per_ha,
                          settings_.regrowth_per_year};
    for (const TreatmentYear& year : settings_.years)
        rules.budgets.push_back(settings_.money ? year.budget : year.budget * m2_per_ha);
    plan::YearPlan planned = plan::plan_years(*choice(), rules_, rules, limits(), required_.units);
    if (!planned.given_fit)
        throw Error{Failure::usage, "what is required does not fit into the years", "treat.years",
                    "give one of the years more, or require smaller areas"};
    if (planned.broken)
        throw broken_limit(*planned.broken, planned.found);
    plan::PricePlan chosen;
    required_.units.clear();
    for (plan::Unit& unit : planned.plan.units)
        (unit.required > 0 ? required_ : chosen).units.push_back(std::move(unit));
    chosen.totals = plan::totals_of(chosen.units, rules_);
    const double unit = settings_.money ? 1 : m2_per_ha;
    for (const plan::YearSums& sums : planned.years)
        result.years.push_back({sums.year, sums.budget / unit, sums.units,
                                static_cast<double>(sums.conifer_milli_m2) / 1e7, sums.cost / unit,
                                sums.upkeep / unit, sums.removed_points, sums.points});
    result.strategies.push_back(strategy("anywhere", chosen.totals));
    return chosen;
}

plan::PricePlan Planner::best_plan(TreatmentResult& result)
{
    if (!settings_.years.empty())
        return years_plan(result);
    if (!settings_.limits.empty() || settings_.has_drawn_units()) // without limits: these alone
        return limited_plan(result);
    const int last = std::min(anywhere, static_cast<int>(rings_.outer_m.size()) - 1);
    std::vector<plan::PricePlan> plans =
        plan::plans_by_ring(ground_.grid, rules_, budget_, last, links(), share_out_);
    plan::PricePlan best;
    for (int ring = 0; ring <= last; ++ring) {
        const auto k = static_cast<std::size_t>(ring);
        // Choosing is not exact: with more ground it may still find less.
        if (plans[k].totals.points >= best.totals.points)
            best = std::move(plans[k]);
        result.strategies.push_back(
            strategy(ring == last ? "anywhere" : fmt::format("within {:g} m", rings_.outer_m[k]),
                     best.totals));
    }
    return best;
}

void Planner::draw_curve(const plan::Supply& supply, TreatmentResult& result)
{
    const auto add = [&](const plan::PlanTotals& totals, double most_points) {
        const plan::PlanTotals all = with_required(totals);
        result.curve.push_back({all.units, all.conifer_ha(), money(all.money), all.removed_points(),
                                0, most_points + required_.totals.removed_points()});
    };
    if (settings_.has_drawn_units()) {
        const std::unique_ptr<plan::ChoiceGround> strips = choice();
        for (const plan::Key key : supply.keys_at_shares(plan::curve_shares)) {
            const plan::PlanTotals totals = plan::totals_of(strips->at_price(key), rules_);
            add(totals, supply.most_points(totals.cost));
        }
        return;
    }
    for (const plan::CurvePoint& point :
         plan::benefit_curve(ground_.grid, rules_, supply, links(), share_out_))
        add(point.totals, point.most_points);
}

} // namespace fuelring
