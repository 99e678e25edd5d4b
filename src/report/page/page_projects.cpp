// SPDX-License-Identifier: Apache-2.0

// Projects on paper, told from the object in run.json. The public page has none: they are drawn on
// people's land, and nobody has agreed to them yet.
#include "report/page/page_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring {

namespace {

using nlohmann::json;

/// A number of a row; NaN where it is not known.
double number(const json& row, const char* key)
{
    const auto at = row.find(key);
    return at != row.end() && at->is_number() ? at->get<double>()
                                              : std::numeric_limits<double>::quiet_NaN();
}

/// The key of the count of homes that the page shows: 1 point, else the middle threshold.
struct HomesShown {
    std::string key;
    double points = 1;

    explicit HomesShown(const json& appraisal)
    {
        const json thresholds = appraisal.value("thresholds", json::array());
        const bool one = std::any_of(thresholds.begin(), thresholds.end(),
                                     [](const json& t) { return t.get<double>() == 1; });
        if (!one && !thresholds.empty())
            points = thresholds.at(thresholds.size() / 2).get<double>();
        key = fmt::format("homes_helped_{:g}", points);
    }
};

void add_row(Html& html, const json& row, const HomesShown& homes, const char* name)
{
    const double cost = number(row, "cost");
    const double best = number(row, "share_of_best");
    html.row(name ? name : row.value("project", ""),
             {shown(number(row, "treated_conifer_ha"), 2),
              shown(number(row, "exposure_removed"), 1),
              grouped(row.value(homes.key, std::int64_t{0})), shown(cost, 0),
              std::isnan(best) ? unknown_mark : fmt::format("{:.0f}%", 100 * best)});
}

std::string summary_sentence(const json& appraisal, const HomesShown& homes)
{
    const json all = appraisal.value("all", json::object());
    const double before = appraisal.value("sum_exposure_before", 0.0);
    const double removed = all.value("exposure_removed", 0.0);
    const auto helped = all.value(homes.key, std::int64_t{0});
    return fmt::format("Proposed, not done. Doing all of these projects would lower the "
                       "community's exposure by {:.1f}%; {} homes would fall by {:g} {} or more.",
                       before > 0 ? 100 * removed / before : 0, grouped(helped), homes.points,
                       homes.points == 1 ? "point" : "points");
}

} // namespace

void add_projects(Html& html, const PageParts& parts)
{
    if (parts.for_public || !parts.picture.manifest.contains("appraisal"))
        return;
    const json& appraisal = parts.picture.manifest.at("appraisal");
    const HomesShown homes{appraisal};
    html.begin("section", {{"id", "projects"}}).element("h2", "Projects on paper").line();
    html.element("p", summary_sentence(appraisal, homes)).line();
    html.begin_figures("What each project would bring",
                       {"Project", "Hectares of conifers taken", "Points of exposure",
                        fmt::format("Homes that improve by {:g} {} or more", homes.points,
                                    homes.points == 1 ? "point" : "points"),
                        cost_title(parts.picture), "Share of the best possible"});
    for (const json& row : appraisal.value("projects", json::array()))
        add_row(html, row, homes, nullptr);
    add_row(html, appraisal.value("all", json::object()), homes, "All projects");
    html.end_table();
    html.element("p", "Land that projects share counts once in the last row. The best possible is "
                      "the most that clearing as many hectares of conifers could remove anywhere, "
                      "cell by cell, without regard to owners or access.")
        .line();
    html.begin("details").element("summary", "Method, for an application").line();
    html.element("p", appraisal.value("method", "")).line();
    html.end().line();
    html.element("p", appraisal.value("note", "")).line();
    html.end().line();
}

} // namespace fuelring
