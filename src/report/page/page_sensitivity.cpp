// SPDX-License-Identifier: Apache-2.0

// Which ranks hold: for every neighbourhood a line from its highest to its lowest rank in the
// trials, with a dot where it ranks in the run. Rows that the trials do not tell apart are bound
// together. The public page has none: small neighbourhoods would stand by themselves.
#include "report/page/page_parts.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace fuelring {

namespace {

using nlohmann::json;

constexpr int row_height = 26, name_width = 200, chart_width = 400, margin = 20;

/// "Ranks 2 to 4 are a toss-up: Larch Bench, Ferry Bank, Orchard Rows."
std::vector<std::string> toss_up_sentences(const json& rows)
{
    std::vector<std::string> sentences;
    for (std::size_t first = 0; first < rows.size();) {
        std::size_t last = first;
        std::vector<std::string> names{rows[first].at("neighbourhood").get<std::string>()};
        while (last + 1 < rows.size() && rows[last + 1].at("toss_up") == rows[first].at("toss_up"))
            names.push_back(rows[++last].at("neighbourhood").get<std::string>());
        if (last > first)
            sentences.push_back(fmt::format("Places {} to {} are a toss-up: {}.", first + 1,
                                            last + 1, fmt::join(names, ", ")));
        first = last + 1;
    }
    if (sentences.empty())
        sentences.emplace_back("No two neighbours in the ranking are a toss-up.");
    return sentences;
}

class Chart {
public:
    Chart(Html& html, const json& rows) : html_(html), rows_(rows)
    {
        for (const json& row : rows)
            lowest_ = std::max(lowest_, row.value("rank_worst", std::int64_t{1}));
    }

    void add()
    {
        const auto height = static_cast<int>(rows_.size()) * row_height + margin;
        html_.begin("svg", {{"class", "chart"},
                            {"viewBox",
                             fmt::format("0 0 {} {}", name_width + chart_width + margin, height)},
                            {"role", "img"},
                            {"aria-label", "Range of ranks of every neighbourhood in the trials"}});
        for (std::size_t k = 0; k < rows_.size(); ++k)
            add_row(rows_[k], static_cast<int>(k) * row_height + row_height / 2);
        html_.end().line();
    }

private:
    int x_of(std::int64_t rank) const
    {
        const auto steps = std::max<std::int64_t>(lowest_ - 1, 1);
        return name_width + static_cast<int>((rank - 1) * (chart_width - margin) / steps) +
               margin / 2;
    }

    void add_row(const json& row, int y)
    {
        html_.element("text", row.at("neighbourhood").get<std::string>(),
                      {{"x", std::to_string(name_width - margin)},
                       {"y", std::to_string(y + 5)},
                       {"text-anchor", "end"},
                       {"fill", "currentColor"},
                       {"font-size", "14"}});
        const int from = x_of(row.value("rank_best", std::int64_t{1}));
        const int to = x_of(row.value("rank_worst", std::int64_t{1}));
        html_.begin("line", {{"x1", std::to_string(from)},
                             {"x2", std::to_string(std::max(to, from + 1))},
                             {"y1", std::to_string(y)},
                             {"y2", std::to_string(y)},
                             {"stroke", "currentColor"},
                             {"stroke-width", "3"},
                             {"stroke-linecap", "round"},
                             {"opacity", "0.4"}});
        html_.end();
        html_.begin("circle", {{"cx", std::to_string(x_of(row.at("rank").get<std::int64_t>()))},
                               {"cy", std::to_string(y)},
                               {"r", "5"},
                               {"fill", "currentColor"}});
        html_.end();
    }

    Html& html_;
    const json& rows_;
    std::int64_t lowest_ = 1;
};

void add_table(Html& html, const json& rows)
{
    html.begin_figures("Ranks in the trials",
                       {"Neighbourhood", "Rank", "Highest", "Lowest",
                        "Among the first, % of trials", "Above the next, % of trials"});
    const auto percent = [](const json& row, const char* key) {
        return row.at(key).is_null() ? std::string{unknown_mark}
                                     : fmt::format("{:.0f}", 100 * row.at(key).get<double>());
    };
    for (const json& row : rows)
        html.row(row.at("neighbourhood").get<std::string>(),
                 {grouped(row.at("rank").get<std::int64_t>()),
                  grouped(row.value("rank_best", std::int64_t{0})),
                  grouped(row.value("rank_worst", std::int64_t{0})), percent(row, "in_first_share"),
                  percent(row, "above_next_share")});
    html.end_table();
}

} // namespace

void add_sensitivity(Html& html, const PageParts& parts)
{
    if (parts.for_public || !parts.picture.manifest.contains("sensitivity"))
        return;
    const json& found = parts.picture.manifest.at("sensitivity");
    const json& rows = found.at("neighbourhoods");
    if (rows.empty())
        return;
    html.begin("section", {{"id", "sensitivity"}}).element("h2", "Which ranks hold").line();
    for (const std::string& sentence : toss_up_sentences(rows))
        html.element("p", sentence).line();
    Chart{html, rows}.add();
    html.element("p",
                 fmt::format("The ranking was made {} times: with other weights, distances or "
                             "conifer shares, with errors of the vegetation map where they are "
                             "known, and with homes resampled. A line runs from the highest to "
                             "the lowest rank, the dot is the rank in this run. Two that follow "
                             "each other are a toss-up if they change places in more than 10% of "
                             "the trials (planning default).",
                             grouped(found.at("neighbourhood_trials").get<std::int64_t>())))
        .line();
    add_table(html, rows);
    html.end().line();
}

} // namespace fuelring
