// SPDX-License-Identifier: Apache-2.0

// What the runs of one folder say over the years. For the public the whole community alone: figures
// of a neighbourhood that had few homes in one of the years could show them.
#include "report/page/page_parts.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

std::vector<std::string> names_of(const PageParts& parts)
{
    std::vector<std::string> names;
    for (const NeighbourhoodFigures& row : parts.rows)
        if (!parts.for_public || row.kind == NeighbourhoodFigures::Kind::community)
            names.push_back(row.name);
    return names;
}

/// "Between imagery of A and of B, mean exposure of all buildings fell from 6.1 to 5.4."
std::string first_and_last(const HistoryLines& lines)
{
    const std::vector<double>& means = lines.mean_exposure.at(std::string{community_row});
    const std::string before = shown(means.front(), 1);
    const std::string now = shown(means.back(), 1);
    if (before == unknown_mark || now == unknown_mark)
        return {};
    const std::string between =
        fmt::format("Between imagery of {} and of {}, mean exposure of all buildings ",
                    lines.dates.front(), lines.dates.back());
    if (before == now)
        return between + fmt::format("stayed at {}.", now);
    return between + fmt::format("{} from {} to {}.",
                                 means.back() < means.front() ? "fell" : "rose", before, now);
}

/// One row for each date, one column for each row of the ranking.
void add_dates(Html& html, const HistoryLines& lines, const std::vector<std::string>& names)
{
    html.begin("details").element("summary", "The lines as a table");
    std::vector<std::string> titles{"Imagery"};
    titles.insert(titles.end(), names.begin(), names.end());
    html.begin_figures("Mean exposure by date of the imagery", titles);
    for (std::size_t k = 0; k < lines.dates.size(); ++k) {
        std::vector<std::string> cells;
        for (const std::string& name : names)
            cells.push_back(shown(lines.mean_exposure.at(name)[k], 1));
        html.row(lines.dates[k], cells);
    }
    html.end_table().end().line();
}

HistoryLines history_of(const PageParts& parts)
{
    return history_lines(parts.picture.history, names_of(parts));
}

} // namespace

nlohmann::json history_json(const PageParts& parts)
{
    const HistoryLines lines = history_of(parts);
    if (lines.empty())
        return nullptr;
    nlohmann::json rows = nlohmann::json::array();
    for (const NeighbourhoodFigures& row : parts.rows) {
        const auto found = lines.mean_exposure.find(row.name);
        nlohmann::json means = nlohmann::json::array();
        if (found != lines.mean_exposure.end())
            for (const double mean : found->second)
                means.push_back(std::isnan(mean) ? nlohmann::json() : nlohmann::json(mean));
        rows.push_back(std::move(means));
    }
    return {{"dates", lines.dates}, {"years", lines.years}, {"rows", rows}};
}

void add_history(Html& html, const PageParts& parts)
{
    const HistoryLines lines = history_of(parts);
    if (lines.empty())
        return;
    html.begin("section", {{"id", "history"}}).element("h2", "Over the years").line();
    html.element("p", first_and_last(lines)).line();
    html.element("p", "The lines follow the dates of the imagery, not of the runs. They show what "
                      "was mapped: conifers cut or grown, but also better maps and new buildings. "
                      "To tell these apart, compare two runs with fuelring change.")
        .line();
    if (lines.other_methods > 0)
        html.element("p", fmt::format("{} {} left out: measured with other distances, weights or "
                                      "classes.",
                                      lines.other_methods,
                                      lines.other_methods == 1 ? "date is" : "dates are"))
            .line();
    html.begin("div", {{"id", "history-chart"}}).end().line();
    add_dates(html, lines, names_of(parts));
    html.end().line();
}

} // namespace fuelring
