// SPDX-License-Identifier: Apache-2.0
#include "report/page_parts.hpp"

#include <fmt/format.h>

#include <cmath>

namespace fuelring {

namespace {

using nlohmann::json;

std::string number(double value, int decimals)
{
    return std::isnan(value) ? std::string{"–"} : fmt::format("{:.{}f}", value, decimals);
}

/// What the plan does, in a sentence or two.
std::string plan_sentence(const json& plan)
{
    std::string text = fmt::format(
        "{} units with {:.2f} ha of conifers, at a cost of {:.0f}, would lower the community's "
        "exposure by {:.1f} % and help {} buildings.",
        plan.value("units", 0), plan.value("conifer_ha", 0.0), plan.value("cost", 0.0),
        100 * plan.value("share_of_exposure_removed", 0.0), plan.value("homes_helped", 0));
    const double before = plan.value("sum_exposure_before", 0.0);
    const double most = plan.value("bounds", json::object()).value("reachable", 0.0);
    if (before > 0)
        text += fmt::format(" No plan of that budget can lower it by more than {:.1f} %.",
                            100 * most / before);
    return text;
}

/// What the same budget does where it is spent by a plain rule instead.
void add_strategies(Html& html, const json& plan)
{
    const json strategies = plan.value("strategies", json::array());
    const double before = plan.value("sum_exposure_before", 0.0);
    if (strategies.empty() || before <= 0)
        return;
    begin_table(html, "The same budget spent from the walls outward instead");
    html.begin("thead").begin("tr");
    for (const char* title : {"Where", "Hectares of conifers", "Exposure lowered by"})
        html.element("th", title, {{"scope", "col"}});
    html.end().end().begin("tbody").line();
    for (const json& s : strategies) {
        html.begin("tr").element("th", s.value("where", ""), {{"scope", "row"}});
        html.element("td", number(s.value("conifer_ha", 0.0), 2));
        html.element("td",
                     fmt::format("{:.0f} %", 100 * s.value("exposure_removed", 0.0) / before));
        html.end().line();
    }
    html.end().end().end().line();
}

void add_curve_table(Html& html, const PictureTable& curve)
{
    html.begin("details").element("summary", "The curve as a table");
    begin_table(html, "What more or less clearing would do");
    html.begin("thead").begin("tr");
    for (const char* title :
         {"Hectares of conifers", "Cost", "Exposure lowered by, %", "At most by, %"})
        html.element("th", title, {{"scope", "col"}});
    html.end().end().begin("tbody").line();
    for (std::size_t i = 0; i < curve.rows; ++i) {
        html.begin("tr").element("td", number(curve.number("conifer_ha", i), 2));
        html.element("td", number(curve.number("cost", i), 0));
        html.element("td", number(100 * curve.number("share_of_exposure_removed", i), 1));
        html.element("td", number(100 * curve.number("most_removable_share", i), 1));
        html.end().line();
    }
    html.end().end().end().end().line();
}

} // namespace

void add_plan(Html& html, const PageParts& parts)
{
    const auto& treatment = parts.picture.treatment;
    if (!treatment || !parts.picture.manifest.contains("treatment"))
        return;
    const json& plan = parts.picture.manifest.at("treatment");
    html.begin("section", {{"id", "plan"}}).element("h2", "Where clearing does most").line();
    html.element("p", plan_sentence(plan)).line();
    if (const NeighbourhoodFigures& community = parts.rows.back();
        community.measured < community.structures)
        html.element("p", fmt::format("That counts only the {} of {} buildings that are measured.",
                                      grouped(community.measured), grouped(community.structures)))
            .line();
    html.element("p", plan.value("note", "")).line();
    html.begin("div", {{"id", "curve"}}).end().line();
    add_curve_table(html, treatment->curve);
    add_strategies(html, plan);
    if (!parts.for_public)
        html.begin("div", {{"id", "units"}}).end().line();
    html.end().line();
}

} // namespace fuelring
