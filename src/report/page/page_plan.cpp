// SPDX-License-Identifier: Apache-2.0

// The plan's part of a page, told from the object in run.json: what it does, what no plan could
// beat, and what a plain rule would do with the same money. Keys that an older run lacks count as
// 0.
#include "report/page/page_parts.hpp"
#include "report/words/plan_words.hpp"

#include <fmt/format.h>

namespace fuelring {

namespace {

using nlohmann::json;

double percent_of(double part, double whole)
{
    return whole > 0 ? 100 * part / whole : 0;
}

/// What the plan does.
std::string effect_sentence(const RunPicture& picture, const json& plan)
{
    const std::string cost =
        plan.contains("cost") ? ", for about " + money_shown(picture, plan.value("cost", 0.0)) : "";
    return fmt::format("{} patches, {:.2f} ha of conifers in all{}, would lower the community's "
                       "exposure by {:.1f}%. {} buildings would fall by 1 point or more.",
                       grouped(plan.value("units", std::int64_t{0})), plan.value("conifer_ha", 0.0),
                       cost, 100 * plan.value("share_of_exposure_removed", 0.0),
                       grouped(plan.value("homes_helped_1", std::int64_t{0})));
}

/// Of the plan in run.json. Runs that had strips before there was a key for the shape have their
/// lines.
report::UnitForm form_of(const json& plan)
{
    const json settings = plan.value("settings", json::object());
    const json strips = settings.value("strips", json::object());
    return {settings.value("shape", strips.empty() ? "patch" : "strip"),
            settings.value("smallest_m2", 0.0), strips.value("width_m", 0.0),
            strips.value("least_length_m", 0.0)};
}

/// What no plan can do: of units that a crew can be sent to, and of any cells.
std::string bound_sentence(const json& plan)
{
    const json bounds = plan.value("bounds", json::object());
    const double before = plan.value("sum_exposure_before", 0.0);
    return fmt::format(
        "Within this budget, no plan made of {} can lower it by more than {:.1f}%; cutting cell by "
        "cell could reach at most {:.1f}%.",
        report::units_in_words(form_of(plan), "m²"),
        percent_of(bounds.value("reachable", 0.0), before),
        percent_of(bounds.value("fractional_optimum", 0.0), before));
}

/// What the same budget does where it is spent by a plain rule instead.
void add_strategies(Html& html, const json& plan)
{
    const json strategies = plan.value("strategies", json::array());
    const double before = plan.value("sum_exposure_before", 0.0);
    if (strategies.empty() || before <= 0)
        return;
    html.begin_figures("For comparison: the same budget spent outward from the walls",
                       {"Where", "Hectares of conifers", "Exposure lowered by"});
    for (const json& s : strategies)
        html.row(s.value("where", ""),
                 {shown(s.value("conifer_ha", 0.0), 2),
                  fmt::format("{:.0f}%", 100 * s.value("exposure_removed", 0.0) / before)});
    html.end_table();
}

void add_curve_table(Html& html, const RunPicture& picture)
{
    const PictureTable& curve = picture.treatment->curve;
    html.begin("details").element("summary", "The curve as a table");
    std::vector<std::string> titles{"Hectares of conifers", "Exposure lowered by, %",
                                    "Upper limit for any plan, %"};
    const bool costs = curve.find("cost") != nullptr;
    if (costs)
        titles.insert(titles.begin() + 1, cost_title(picture));
    html.begin_figures("Effect of clearing more or less", titles);
    for (std::size_t i = 0; i < curve.rows; ++i) {
        std::vector<std::string> cells{shown(100 * curve.number("share_of_exposure_removed", i), 1),
                                       shown(100 * curve.number("most_removable_share", i), 1)};
        if (costs) // the heading has the currency
            cells.insert(cells.begin(), shown(curve.number("cost", i), 0));
        html.row(shown(curve.number("conifer_ha", i), 2), cells);
    }
    html.end_table().end().line();
}

} // namespace

void add_plan(Html& html, const PageParts& parts)
{
    const auto& treatment = parts.picture.treatment;
    if (!treatment || !parts.picture.manifest.contains("treatment"))
        return;
    const json& plan = parts.picture.manifest.at("treatment");
    html.begin("section", {{"id", "plan"}}).element("h2", "Where clearing helps most").line();
    html.element("p", effect_sentence(parts.picture, plan)).line();
    html.element("p", bound_sentence(plan)).line();
    if (const NeighbourhoodFigures& community = parts.rows.back();
        community.measured < community.structures)
        html.element("p",
                     fmt::format("Only the {} of {} buildings that could be measured are counted.",
                                 grouped(community.measured), grouped(community.structures)))
            .line();
    html.element("p", plan.value("note", "")).line();
    add_years(html, parts.picture, plan);
    if (!parts.for_public)
        html.begin("div", {{"id", "budget"}}).end().line();
    html.begin("div", {{"id", "curve"}}).end().line();
    add_curve_table(html, parts.picture);
    add_strategies(html, plan);
    if (!parts.for_public)
        add_constraints(html, plan);
    if (!parts.for_public)
        html.begin("div", {{"id", "units"}}).end().line();
    html.end().line();
}

} // namespace fuelring
