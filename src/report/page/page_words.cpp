// SPDX-License-Identifier: Apache-2.0

// Method, limits, cautions and provenance, in words.
#include "report/page/page_parts.hpp"
#include "report/page/page_texts.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <sstream>

namespace fuelring {

namespace {

using nlohmann::json;

void add_list(Html& html, const char* title, const std::vector<std::string>& items)
{
    html.element("h3", title).begin("ul").line();
    for (const std::string& item : items)
        html.element("li", item).line();
    html.end().line();
}

/// "1.5, 10, 30 and 100"
std::string listed(const std::vector<double>& values)
{
    std::string text;
    for (std::size_t k = 0; k < values.size(); ++k)
        text += fmt::format("{}{:g}",
                            k == 0                  ? ""
                            : k + 1 < values.size() ? ", "
                                                    : " and ",
                            values[k]);
    return text;
}

std::string weights_of(const RingPlan& rings)
{
    double sum = 0;
    for (const double w : rings.weight)
        sum += w;
    std::vector<std::string> parts;
    const std::vector<std::string> titles = ring_titles(rings);
    for (std::size_t k = 0; k < titles.size(); ++k)
        parts.push_back(fmt::format("{}: {:.3g}%", titles[k], 100 * rings.weight[k] / sum));
    return fmt::format("{}", fmt::join(parts, ", "));
}

const std::vector<std::string> limits{
    "Conifers only. Grass, shrubs, sheds, firewood, decks, roofs, vents and embers from far away "
    "are not counted, so a low figure does not mean a home is safe.",
    "It ranks places to look at. It is not a probability of ignition or loss, and it does not "
    "replace a visit.",
    "It is only as current and as accurate as the vegetation map: a young tree may be missing, a "
    "felled one may still be there, and a class may be wrong.",
    "Land of unknown cover is left out, and hatched on the map. The more of it there is, the less "
    "certain the result.",
    "Footprints and vegetation may be misaligned by a metre or so, which matters most close to the "
    "wall."};

const std::vector<std::string> cautions{
    "Local codes and licensed practice come before anything on this page. Look up protected trees, "
    "nesting seasons, burning bans and permits first.",
    "Felling, pruning and work on ladders are dangerous. Near power lines, leave the work to the "
    "utility and keep to its rules.",
    "Have buried lines located before anyone digs or pulls stumps. On dry, windy days do not "
    "use tools that throw sparks.",
    "Take away what was cut: left on the ground, it dries and burns.",
    "Bare slopes erode: keep roots and ground cover where it is steep.",
    "Trees on a neighbour's land belong to the neighbour: talk to them first."};

/// A text of the run's json, empty where there is none.
std::string text_at(const json& object, const char* name)
{
    const json value = object.value(name, json());
    return value.is_string() ? value.get<std::string>() : std::string{};
}

/// Of a file of the run: unlike the run's id it stays when a command adds to the set.
std::string digest_in(const json& run, const char* name)
{
    for (const json& file : run.value("files", json::array()))
        if (text_at(file, "name") == name)
            return text_at(file, "sha256");
    return {};
}

void add_inputs(Html& html, const json& run)
{
    html.begin_table("Input files", {"Input", "File", "Bytes", "SHA-256"});
    const json inputs = run.value("inputs", json::object());
    for (const auto& [role, file] : inputs.items()) {
        html.begin("tr").element("th", role, {{"scope", "row"}});
        html.begin("td").data(text_at(file, "path")).end();
        html.element("td",
                     file.contains("size") ? grouped(file.at("size").get<std::int64_t>()) : "");
        html.element("td", file.contains("remote") ? "not a local file" : text_at(file, "sha256"),
                     {{"class", "hash"}})
            .end()
            .line();
    }
    html.end_table();
}

void add_warnings(Html& html, const json& run)
{
    std::vector<std::string> lines;
    for (const json& warning : run.value("warnings", json::array()))
        lines.push_back(text_at(warning, "text"));
    if (!lines.empty())
        add_list(html, "Warnings", lines);
}

} // namespace

void add_method(Html& html, const PageParts& parts)
{
    const RingPlan& rings = parts.picture.rings;
    html.begin("section", {{"id", "method"}}).element("h2", "What the figures mean").line();
    html.element("p", fmt::format(
                          "The land around each building is divided into rings, out to {} m from "
                          "its walls. In each ring the share of conifers is measured exactly: a "
                          "map cell that lies half inside counts half. Exposure is the weighted "
                          "average of these shares, from 0 (no conifers) to 100 (nothing but "
                          "conifers), with nearer rings counting more ({}). The weights are a "
                          "planning default, set in the configuration; they are not a standard.",
                          listed(rings.outer_m), weights_of(rings)))
        .line();
    html.element("p",
                 "Total exposure is the sum over all buildings. The map shows by how much clearing "
                 "one square metre would lower it.")
        .line();
    add_list(html, "Limits", limits);
    add_list(html, "Before anyone cuts", cautions);
    html.end().line();
}

void add_provenance(Html& html, const PageParts& parts)
{
    const json& run = parts.picture.manifest;
    const json crs = run.value("crs", json::object());
    const json program = run.value("program", json::object());
    html.begin("section", {{"id", "provenance"}}).element("h2", "Data and versions").line();
    html.begin_table("The run");
    html.row("Community", {parts.picture.community});
    html.row("Imagery",
             {parts.picture.imagery_date.empty() ? "date not given" : parts.picture.imagery_date});
    if (!parts.for_public)
        html.row("SHA-256 of addresses.csv", {digest_in(run, "addresses.csv")});
    html.row("Finished", {text_at(run.value("timings", json::object()), "finished")});
    html.row("Coordinates", {text_at(crs, "analysis")});
    if (!parts.for_public) // it may say where the middle of a warped grid lies
        html.row("Distances", {text_at(crs, "decision")});
    html.row("Made with", {fmt::format("fuelring {}, GDAL {}, GEOS {}, PROJ {}",
                                       text_at(program, "fuelring"), text_at(program, "gdal"),
                                       text_at(program, "geos"), text_at(program, "proj"))});
    html.end_table();
    if (!parts.for_public) {
        add_inputs(html, run);
        add_warnings(html, run);
        html.element("p",
                     "This page shows individual homes and is for programme staff only. To make a "
                     "version you can share, run fuelring report --public.")
            .line();
    }
    html.begin("details").element("summary", "Licence of the map software");
    std::istringstream licence{std::string{page::leaflet_licence}}; // it asks for its words
    for (std::string paragraph; std::getline(licence, paragraph);)
        html.element("p", paragraph);
    html.end().line();
    html.end().line();
}

} // namespace fuelring
