// SPDX-License-Identifier: Apache-2.0

// The parts of report.html.
#pragma once

#include "base/grouped.hpp"
#include "report/history_lines.hpp"
#include "report/neighbourhood_figures.hpp"
#include "report/page/html.hpp"
#include "report/page/page.hpp"

#include <nlohmann/json_fwd.hpp>

#include <cstdint>
#include <string>
#include <vector>

namespace fuelring {

/// What the sections of a page are made of.
struct PageParts {
    const RunPicture& picture;
    const PageImages& images;
    const std::vector<NeighbourhoodFigures>& rows; ///< the last is the community
    bool for_public = false;
};

/// A value that is not known.
inline constexpr const char* unknown_mark = "–";
/// With so many decimals, or unknown_mark for NaN: as the page's script shows it.
std::string shown(double value, int decimals);
/// "1.5–10 m", by ring.
std::vector<std::string> ring_titles(const RingPlan& rings);

/// "CAD 11,344", or unknown_mark for NaN, with the run's currency.
std::string money_shown(const RunPicture& picture, double amount);
/// "Cost", or "Cost, CAD".
std::string cost_title(const RunPicture& picture);

/// The block of data that the page's script draws from. On a public page: figures and areas of
/// neighbourhoods and the curve of the plan, nothing else.
nlohmann::json page_data(const PageParts& parts);
/// What stands below the script, not for the public: the largest parts, which the list and the map
/// do not need, so that a browser shows these first. Rasters, and what each step of the plan does.
nlohmann::json page_data_below(const PageParts& parts);

/// The colours of the map as a style sheet: variables `--map-NAME` and classes `exposure-K`,
/// `gain-K` that fill, for a light and a dark page and for paper.
std::string colour_style();

/// The sections of the page; each adds itself, or nothing where the run has nothing for it.
/// What a treatment plan achieves, its curve and what the same budget does by plain rules.
void add_plan(Html& html, const PageParts& parts);
/// Its years, where it has several; the price of its constraints.
void add_years(Html& html, const RunPicture& picture, const nlohmann::json& plan);
void add_constraints(Html& html, const nlohmann::json& plan);
/// What drawn projects would bring, not for the public.
void add_projects(Html& html, const PageParts& parts);
/// Which ranks of neighbourhoods hold under other choices, not for the public.
void add_sensitivity(Html& html, const PageParts& parts);
/// Mean exposure by the date of the imagery, where the runs of the folder have several.
void add_history(Html& html, const PageParts& parts);
/// The same for the script: dates, years to draw by, means by row of the ranking; null without.
nlohmann::json history_json(const PageParts& parts);
/// What changed since an earlier run: for the public the community's areas only.
void add_change(Html& html, const PageParts& parts);
/// How the figures are made, where they come from, what they do not say, and what to beware of.
void add_method(Html& html, const PageParts& parts);
void add_provenance(Html& html, const PageParts& parts);

} // namespace fuelring
