// SPDX-License-Identifier: Apache-2.0
#include "report/page_parts.hpp"

#include <fmt/format.h>

#include <cmath>

namespace fuelring {

namespace {

using nlohmann::json;

std::string hectares(const PictureTable& areas, std::string_view column, std::size_t row)
{
    const double ha = areas.number(column, row);
    return std::isnan(ha) ? std::string{"–"} : fmt::format("{:.2f}", ha);
}

/// Removed and regrown as mapped; as adjusted for errors of the maps, with half the width of the
/// interval, where reference points were given.
std::string area_of(const PictureTable& areas, const std::string& what, std::size_t row)
{
    const std::string adjusted = hectares(areas, what + "_adjusted_ha", row);
    if (adjusted == "–")
        return hectares(areas, what + "_ha", row);
    return adjusted + " ± " + hectares(areas, what + "_ci95_ha", row);
}

std::string exposure_sentence(const json& change)
{
    const json counts = change.at("counts").at("exposure");
    const json sums = change.at("exposure");
    const std::int64_t unknown = counts.at("unknown").get<std::int64_t>();
    const std::string apart =
        unknown > 0 ? fmt::format(" {} more were not measured in both runs, and are left out.",
                                  grouped(unknown))
                    : std::string{};
    return fmt::format(
        "Exposure fell for {} buildings ({} by a point or more) and rose for {} ({}). "
        "Summed over the {} buildings that both runs measured it went from {:.1f} to {:.1f}.{}",
        counts.at("fell").get<std::int64_t>(),
        counts.at("fell_by_a_point_or_more").get<std::int64_t>(),
        counts.at("rose").get<std::int64_t>(),
        counts.at("rose_by_a_point_or_more").get<std::int64_t>(),
        grouped(sums.at("structures").get<std::int64_t>()), sums.at("sum_before").get<double>(),
        sums.at("sum_after").get<double>(), apart);
}

/// Rows of the whole community by distance from the walls; of neighbourhoods within the nearest
/// distance that counts speak of.
bool is_shown(const PageParts& parts, const PictureTable& areas, std::size_t row)
{
    const std::string scope = areas.text("scope", row);
    const std::string distance = areas.text("distance", row);
    if (scope == "community")
        return distance.starts_with("within_");
    return scope == "neighbourhood" && !parts.for_public &&
           distance == fmt::format("within_{}m", parts.picture.near_m);
}

/// "within_10m" in words.
std::string distance_words(const std::string& distance)
{
    const std::string metres = distance.substr(std::string{"within_"}.size());
    return "within " + metres.substr(0, metres.size() - 1) + " m";
}

void add_areas(Html& html, const PageParts& parts, const PictureTable& areas)
{
    begin_table(html, "Hectares of conifers");
    html.begin("thead").begin("tr");
    for (const char* title :
         {"Where", "Of the walls", "Before", "Removed", "Regrown", "After", "Not compared"})
        html.element("th", title, {{"scope", "col"}});
    html.end().end().begin("tbody").line();
    for (std::size_t i = 0; i < areas.rows; ++i) {
        if (!is_shown(parts, areas, i))
            continue;
        html.begin("tr")
            .begin("th", {{"scope", "row"}})
            .element("bdi", areas.text("name", i))
            .end();
        html.element("td", distance_words(areas.text("distance", i)));
        html.element("td", hectares(areas, "conifer_before_ha", i));
        html.element("td", area_of(areas, "removed", i));
        html.element("td", area_of(areas, "regrown", i));
        html.element("td", hectares(areas, "conifer_after_ha", i));
        html.element("td", fmt::format("{:.2f}", areas.number("ground_ha", i) -
                                                     areas.number("compared_ha", i)));
        html.end().line();
    }
    html.end().end().end().line();
}

} // namespace

void add_change(Html& html, const PageParts& parts)
{
    if (!parts.picture.change)
        return;
    const PictureChange& change = *parts.picture.change;
    html.begin("section", {{"id", "change"}}).element("h2", "What changed").line();
    html.element("p", exposure_sentence(change.manifest)).line();
    add_areas(html, parts, change.areas);
    if (!parts.for_public)
        html.begin("div", {{"id", "changed-homes"}}).end().line();
    html.element("p", change.manifest.value("method", "")).line();
    html.end().line();
}

} // namespace fuelring
