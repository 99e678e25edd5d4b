// SPDX-License-Identifier: Apache-2.0

// What a plan of several years does in each, and what its constraints cost.
#include "report/page/page_parts.hpp"
#include "report/words/plan_words.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>

namespace fuelring {

namespace {

using nlohmann::json;

std::string lowered(const json& row, const char* key, double before)
{
    return before > 0 ? fmt::format("{:.1f}%", 100 * row.value(key, 0.0) / before) : unknown_mark;
}

} // namespace

void add_years(Html& html, const RunPicture& picture, const nlohmann::json& plan)
{
    const json years = plan.value("years", json::array());
    if (years.empty())
        return;
    const double before = plan.value("sum_exposure_before", 0.0);
    const bool costs = plan.contains("cost");
    const bool upkeep = std::any_of(years.begin(), years.end(),
                                    [](const json& y) { return y.value("upkeep", 0.0) > 0; });
    const auto amount = [costs](double value) { return shown(value, costs ? 0 : 2); };
    std::vector<std::string> titles{"Year", "Patches", "Hectares of conifers"};
    const std::string unit =
        costs ? (currency_of(picture).empty() ? "" : ", " + currency_of(picture)) : ", ha";
    titles.push_back("Budget" + unit);
    if (upkeep)
        titles.push_back("Of it upkeep" + unit);
    titles.emplace_back("Exposure lower at its end by");
    html.begin_figures("The plan by year", titles);
    for (const json& year : years) {
        std::vector<std::string> cells{grouped(year.value("units", std::int64_t{0})),
                                       shown(year.value("conifer_ha", 0.0), 2),
                                       amount(year.value("budget", 0.0))};
        if (upkeep)
            cells.push_back(amount(year.value("upkeep", 0.0)));
        cells.push_back(lowered(year, "exposure_lower_by", before));
        html.row(std::to_string(year.value("year", std::int64_t{0})), cells);
    }
    html.end_table();
    if (const double regrowth =
            plan.value("settings", json::object()).value("regrowth_per_year", 0.0);
        regrowth > 0)
        html.element("p", fmt::format("Conifers are expected to grow back by {:g}% a year where "
                                      "they are not kept down.",
                                      100 * regrowth))
            .line();
}

void add_constraints(Html& html, const nlohmann::json& plan)
{
    const json constraints = plan.value("constraints", json::array());
    if (constraints.empty())
        return;
    const double before = plan.value("sum_exposure_before", 0.0);
    html.begin_figures("What each constraint costs",
                       {"Without it, all others kept", "Exposure lowered by", "Instead of"});
    for (const json& row : constraints)
        html.row(report::constraint_in_words(row.value("constraint", ""), row.value("name", "")),
                 {lowered(row, "exposure_removed_without", before),
                  lowered(plan, "exposure_removed", before)});
    html.end_table();
}

} // namespace fuelring
