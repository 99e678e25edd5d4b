// SPDX-License-Identifier: Apache-2.0

// The page as a document, which says what matters without scripts: the headline, the table of
// neighbourhoods, the plan, method and limits. The script then adds what one can work with: the
// map, sorting, the addresses. Its policy (CSP) admits the scripts and styles by their SHA-256 and
// nothing from elsewhere; the texts end their lines with LF, as an HTML parser would make them.
#include "report/page/page.hpp"

#include "base/caution.hpp"
#include "base/program/digest.hpp"
#include "report/page/page_parts.hpp"
#include "report/page/page_texts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

constexpr const char* merged_note =
    "Groups of fewer than five buildings are combined with the smallest neighbourhood, so that no "
    "home can be singled out. They are hatched on the map, and their hectares are not added up, "
    "because the land around them overlaps.";

/// The source of a policy that admits an inline text: base64 of its SHA-256.
std::string hash_source(std::string_view text)
{
    const std::string hex = digest_of_bytes(text).sha256;
    std::string bytes;
    for (std::size_t i = 0; i < hex.size(); i += 2)
        bytes += static_cast<char>(std::stoi(hex.substr(i, 2), nullptr, 16));
    return "'sha256-" + base64(bytes) + "'";
}

std::string own_style()
{
    return colour_style() + std::string{page::style};
}

std::string policy()
{
    return fmt::format("default-src 'none'; script-src {} {}; style-src {} {}; img-src data:; "
                       "base-uri 'none'; form-action 'none'",
                       hash_source(page::leaflet_script), hash_source(page::script),
                       hash_source(page::leaflet_style), hash_source(own_style()));
}

/// Of those buildings only of which it is known; the others are counted apart.
std::string headline(const PageParts& parts)
{
    const NeighbourhoodFigures& community = parts.rows.back();
    const std::int64_t unknown = community.structures - community.known_near;
    std::string text =
        community.known_near > 0
            ? fmt::format("{} of {} buildings have conifers within {:g} m", grouped(community.near),
                          grouped(community.known_near), parts.picture.near_m)
            : fmt::format("Conifers within {:g} m are unknown for all {} buildings",
                          parts.picture.near_m, grouped(unknown));
    if (community.known_near > 0 && unknown > 0)
        text += fmt::format(", {} more {} unknown", grouped(unknown), unknown == 1 ? "is" : "are");
    const nlohmann::json& run = parts.picture.manifest;
    if (parts.picture.treatment && run.contains("treatment")) {
        const nlohmann::json& plan = run.at("treatment");
        text += fmt::format(
            ". Clearing {:.2f} ha in the right places would cut total exposure by {:.0f}%",
            plan.value("conifer_ha", 0.0), 100 * plan.value("share_of_exposure_removed", 0.0));
    }
    return text + ".";
}

/// Which neighbourhood stands out, where there are several with a rank.
std::string standing_out(const std::vector<NeighbourhoodFigures>& rows)
{
    constexpr double much_more = 1.5; // times the next
    std::vector<const NeighbourhoodFigures*> ranked;
    for (const NeighbourhoodFigures& row : rows)
        if (row.kind == NeighbourhoodFigures::Kind::neighbourhood && row.rank && row.mean_exposure)
            ranked.push_back(&row);
    std::stable_sort(ranked.begin(), ranked.end(), [](const auto* a, const auto* b) {
        return *a->mean_exposure > *b->mean_exposure;
    });
    if (ranked.size() < 2)
        return {};
    const NeighbourhoodFigures& first = *ranked[0];
    const NeighbourhoodFigures& next = *ranked[1];
    if (*next.mean_exposure > 0 && *first.mean_exposure >= much_more * *next.mean_exposure)
        return fmt::format(
            "{} stands out: mean exposure {:.1f}, {:.1f} times that of {}, the next.", first.name,
            *first.mean_exposure, *first.mean_exposure / *next.mean_exposure, next.name);
    return fmt::format(
        "No neighbourhood stands out: mean exposure is highest in {} ({:.1f}), then {} "
        "({:.1f}).",
        first.name, *first.mean_exposure, next.name, *next.mean_exposure);
}

constexpr const char* what_exposure_is = "Exposure is how much of the land around a building is "
                                         "under conifers, from 0 to 100, with land "
                                         "near its walls counting more.";

/// What all figures are of; empty where every building is measured and wholly mapped around.
std::string measured_sentence(const PageParts& parts)
{
    const NeighbourhoodFigures& community = parts.rows.back();
    const nlohmann::json flags = parts.picture.manifest.value("counts", nlohmann::json::object())
                                     .value("flags", nlohmann::json::object());
    const std::int64_t partly = flags.value("partly_unmapped", std::int64_t{0});
    if (community.known_near == community.structures)
        return partly == 0 ? std::string{}
                           : fmt::format("The land around {} of {} buildings is partly unmapped.",
                                         grouped(partly), grouped(community.structures));
    std::string text = fmt::format("{} of {} buildings are measured", grouped(community.measured),
                                   grouped(community.structures));
    if (partly > 0)
        text += fmt::format(", {} of them partly unmapped", grouped(partly));
    return text + fmt::format(". Means and ranks cover only these. A building counts as unknown if "
                              "more than half of the land within {:g} m of it is unmapped and the "
                              "rest has no conifers.",
                              parts.picture.near_m);
}

/// "Tamarack Bend · imagery from 2024-07-15 · run on 2026-11-25"
std::string where_and_when(const RunPicture& picture)
{
    std::string text = picture.community;
    if (!picture.imagery_date.empty())
        text += " · imagery from " + picture.imagery_date;
    const std::string finished =
        picture.manifest.value("timings", nlohmann::json::object()).value("finished", "");
    return finished.size() < 10 ? text : text + " · run on " + finished.substr(0, 10);
}

void add_head(Html& html, const PageParts& parts)
{
    html.raw("<!doctype html>\n").begin("html", {{"lang", "en"}}).begin("head").line();
    html.raw("<meta charset=\"utf-8\">\n");
    html.raw(
        fmt::format("<meta http-equiv=\"Content-Security-Policy\" content=\"{}\">\n", policy()));
    html.raw("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
             "<meta name=\"color-scheme\" content=\"light dark\">\n");
    html.element("title", "Conifers around the buildings of " + parts.picture.community).line();
    html.begin("style").raw(page::leaflet_style).end().line();
    html.begin("style").raw(own_style()).end().line();
    html.end().line();
}

/// "30 of 425", a dash where it is known of none, the number alone where it is of all buildings.
std::string of_how_many(std::int64_t part, std::int64_t whole, bool of_all)
{
    if (of_all)
        return grouped(part);
    return whole > 0 ? fmt::format("{} of {}", grouped(part), grouped(whole)) : unknown_mark;
}

void add_neighbourhoods(Html& html, const PageParts& parts)
{
    using Kind = NeighbourhoodFigures::Kind;
    const bool all_measured =
        parts.rows.back().known_near == parts.rows.back().structures; // so in every row
    html.begin("div", {{"id", "ranking"}});
    html.begin_table("Neighbourhoods by mean exposure",
                     {"Rank", "Neighbourhood", all_measured ? "Buildings" : "Measured",
                      fmt::format("With conifers within {:g} m", parts.picture.near_m),
                      "Mean exposure"});
    for (const NeighbourhoodFigures& row : parts.rows)
        html.row(row.name,
                 {of_how_many(row.measured, row.structures, all_measured),
                  of_how_many(row.near, row.known_near, all_measured),
                  shown(row.mean_exposure.value_or(NAN), 1)},
                 row.rank ? std::to_string(*row.rank) : "");
    html.end_table().end().line();
    if (std::any_of(parts.rows.begin(), parts.rows.end(), [](const NeighbourhoodFigures& row) {
            return row.kind == Kind::neighbourhood && row.structures > 0 && !row.rank;
        }))
        html.element("p", "A neighbourhood has no rank if fewer than half of its buildings could "
                          "be measured.")
            .line();
    for (const NeighbourhoodFigures& row : parts.rows)
        if (row.kind == Kind::merged)
            html.element("p", merged_note, {{"class", "merged-note"}}).line();
}

/// What the script fills; hidden until it does.
void add_for_script(Html& html, const char* id, const char* title)
{
    html.begin("section", {{"id", id}, {"hidden", ""}});
    if (*title != '\0')
        html.element("h2", title);
    html.end().line();
}

void add_main(Html& html, const PageParts& parts)
{
    html.begin("main", {{"id", "main"}}).line();
    html.begin("div", {{"class", "where"}}).line();
    add_for_script(html, "map", "Map");
    html.begin("div", {{"id", "panel"}, {"hidden", ""}}).end().line();
    if (!parts.for_public)
        html.begin("div", {{"id", "areas"}, {"hidden", ""}}).end().line();
    html.begin("div", {{"id", "map-controls"}, {"hidden", ""}}).end().line();
    html.begin("section", {{"class", "high"}}).element("h2", "Where exposure is high").line();
    add_neighbourhoods(html, parts);
    html.end().end().line();
    if (!parts.for_public)
        add_for_script(html, "addresses", "Addresses");
    add_plan(html, parts);
    add_history(html, parts);
    add_sensitivity(html, parts);
    add_projects(html, parts);
    add_change(html, parts);
    add_method(html, parts);
    add_provenance(html, parts);
    html.end().line();
}

/// In a script element `<` could end it; in JSON it can be written otherwise.
std::string for_script_element(const nlohmann::json& data)
{
    std::string json = data.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
    for (std::size_t at = json.find('<'); at != json.npos; at = json.find('<', at))
        json.replace(at, 1, "\\u003c");
    return json;
}

void add_data(Html& html, const char* id, const nlohmann::json& data)
{
    html.raw(fmt::format("<script type=\"application/json\" id=\"{}\">", id));
    html.raw(for_script_element(data)).raw("</script>\n");
}

} // namespace

std::vector<std::string> ring_titles(const RingPlan& rings)
{
    std::vector<std::string> titles;
    double inner = 0;
    for (const double outer : rings.outer_m) {
        titles.push_back(fmt::format("{:g}–{:g} m", inner, outer));
        inner = outer;
    }
    return titles;
}

std::string shown(double value, int decimals)
{
    if (std::isnan(value))
        return unknown_mark;
    const std::string text = fmt::format("{:.{}f}", value, decimals);
    return with_commas(text, std::min(text.find('.'), text.size()));
}

std::string money_shown(const RunPicture& picture, double amount)
{
    return std::isnan(amount) ? unknown_mark : grouped_money(amount, currency_of(picture));
}

std::string cost_title(const RunPicture& picture)
{
    const std::string currency = currency_of(picture);
    return currency.empty() ? "Cost" : "Cost, " + currency;
}

std::string report_page(const RunPicture& picture, const PageImages& images, bool for_public)
{
    const std::vector<NeighbourhoodFigures> rows =
        for_public ? public_figures(picture) : neighbourhood_figures(picture);
    const PageParts parts{picture, images, rows, for_public};
    Html html;
    add_head(html, parts);
    html.begin("body").line();
    html.element("a", "Skip to the results", {{"class", "skip"}, {"href", "#main"}}).line();
    html.begin("header").element("p", where_and_when(picture), {{"class", "place"}}).line();
    html.element("h1", headline(parts)).line();
    if (const std::string measured = measured_sentence(parts); !measured.empty())
        html.element("p", measured, {{"class", "meaning"}}).line();
    if (const std::string words = standing_out(rows); !words.empty())
        html.element("p", words, {{"class", "lead"}}).line();
    html.element("p", fmt::format("{} {} {}", what_exposure_is, caution, no_verdict),
                 {{"class", "meaning"}})
        .line();
    html.begin("p", {{"id", "link-note"}, {"class", "lead"}, {"role", "status"}, {"hidden", ""}})
        .end()
        .line();
    html.raw("<noscript><p>To see the map and the addresses and to sort the tables, turn on "
             "JavaScript.</p></noscript>\n");
    html.end().line();
    add_main(html, parts);
    add_data(html, "data", page_data(parts));
    html.begin("script").raw(page::leaflet_script).end().line();
    html.begin("script").raw(page::script).end().line();
    if (!for_public)
        add_data(html, "data-below", page_data_below(parts));
    html.end().line().end().line();
    return html.str();
}

} // namespace fuelring
