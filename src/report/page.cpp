// SPDX-License-Identifier: Apache-2.0

// The page as a document: what it says without scripts.
#include "report/page.hpp"

#include "report/html.hpp"
#include "report/neighbourhood_figures.hpp"

#include <fmt/format.h>

namespace fuelring {

namespace {

constexpr const char* meaning = "Exposure counts conifers only. It is no probability of ignition, "
                                "and a low figure is not safe.";

std::string shown(const std::optional<double>& value, int decimals)
{
    return value ? fmt::format("{:.{}f}", *value, decimals) : std::string{"–"};
}

std::string headline(const RunPicture& picture, const NeighbourhoodFigures& community)
{
    std::string text = fmt::format("{} of {} buildings have conifers within {:g} m", community.near,
                                   community.structures, picture.near_m);
    if (picture.manifest.contains("treatment")) {
        const nlohmann::json& plan = picture.manifest.at("treatment");
        text += fmt::format(
            "; treating the best {:.1f} ha would lower summed exposure by {:.0f} %",
            plan.value("conifer_ha", 0.0), 100 * plan.value("share_of_exposure_removed", 0.0));
    }
    return text + ".";
}

void add_neighbourhoods(Html& html, const RunPicture& picture,
                        const std::vector<NeighbourhoodFigures>& rows)
{
    html.begin("table", {{"id", "neighbourhoods"}}).begin("thead").begin("tr");
    for (const std::string& title :
         {std::string{"Rank"}, std::string{"Neighbourhood"}, std::string{"Buildings"},
          fmt::format("With conifers within {:g} m", picture.near_m), std::string{"Mean exposure"}})
        html.element("th", title, {{"scope", "col"}});
    html.end().end().line().begin("tbody").line();
    for (const NeighbourhoodFigures& row : rows) {
        html.begin("tr");
        html.element("td", row.rank ? std::to_string(*row.rank) : "");
        html.element("th", row.name, {{"scope", "row"}});
        html.element("td", std::to_string(row.structures));
        html.element("td", std::to_string(row.near));
        html.element("td", shown(row.mean_exposure, 1));
        html.end().line();
    }
    html.end().end().line();
}

} // namespace

std::string report_page(const RunPicture& picture, bool for_public)
{
    const std::vector<NeighbourhoodFigures> rows =
        for_public ? public_figures(picture) : neighbourhood_figures(picture);
    Html html;
    html.raw("<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\n"
             "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'\">\n"
             "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n");
    html.element("title", "Conifers around the buildings of " + picture.community).line();
    html.raw("</head><body><main>\n");
    html.element("h1", headline(picture, rows.back())).line();
    html.element("p", meaning).line();
    html.element("h2", "Neighbourhoods").line();
    add_neighbourhoods(html, picture, rows);
    html.raw("</main></body></html>\n");
    return html.str();
}

} // namespace fuelring
