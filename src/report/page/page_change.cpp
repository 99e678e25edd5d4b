// SPDX-License-Identifier: Apache-2.0

// The comparison's part of a page. The public one must not let a reader find one home by taking
// sums from each other: counts of a few are given as fewer than five, and sums are left out where
// they would leave a few buildings.
#include "report/page/page_parts.hpp"

#include <fmt/format.h>

#include <cmath>
#include <set>
#include <string>

namespace fuelring {

namespace {

using nlohmann::json;

/// Removed and regrown as mapped; as adjusted for errors of the maps, with half the width of the
/// interval, where reference points were given.
std::string area_of(const PictureTable& areas, const std::string& what, std::size_t row)
{
    if (areas.number("compared_ha", row) == 0)
        return unknown_mark; // no ground is known in both: unknown, not none
    const std::string adjusted = shown(areas.number(what + "_adjusted_ha", row), 2);
    if (adjusted == unknown_mark)
        return shown(areas.number(what + "_ha", row), 2);
    return adjusted + " ± " + shown(areas.number(what + "_ci95_ha", row), 2);
}

/// "+0.4", "−104.8", "0.0"
std::string signed_tenths(double value)
{
    const std::string size = grouped_tenths(std::abs(value));
    return size == "0.0" ? size : (value < 0 ? "−" : "+") + size;
}

constexpr std::int64_t fewest = 5; ///< as public_figures

/// A count of buildings; for the public not one that points at a few.
std::string counted(std::int64_t count, bool for_public)
{
    return for_public && count > 0 && count < fewest ? fmt::format("fewer than {}", fewest)
                                                     : grouped(count);
}

/// Buildings whose exposure counts in the values of one run but not in the sums over both.
std::size_t alone(const PictureTable& homes, std::string_view exposure)
{
    std::set<std::string> ids;
    for (std::size_t i = 0; i < homes.rows; ++i)
        if (!std::isnan(homes.number(exposure, i)) &&
            std::isnan(homes.number("exposure_change", i)))
            ids.insert(homes.text("structure_id", i));
    return ids.size();
}

/// Whether sums over the buildings of both runs, taken off those of one run that are published,
/// would leave a few buildings.
bool leaves_a_few(const PictureTable& homes)
{
    const auto is_few = [](std::size_t n) { return n > 0 && n < std::size_t{fewest}; };
    return is_few(alone(homes, "exposure_before")) || is_few(alone(homes, "exposure_after"));
}

/// A fall that no conifer caused is not a success: told apart if it shows at a tenth of a point.
std::string other_causes(const json& sums)
{
    constexpr double least_shown_points = 0.05;
    const double otherwise = sums.value("sum_change_otherwise", 0.0);
    if (std::abs(otherwise) < least_shown_points)
        return {};
    return fmt::format(
        " Of the difference, {} points come from conifers lost or gained on land mapped in both "
        "years; {} points have other causes: land mapped in one year only, or different outlines, "
        "slopes or coordinate systems.",
        signed_tenths(sums.value("sum_change_by_fuel", 0.0)), signed_tenths(otherwise));
}

std::string exposure_sentence(const json& change, bool for_public, bool with_sums)
{
    const json counts = change.at("counts").at("exposure");
    const json sums = change.at("exposure");
    const std::int64_t unknown = counts.at("unknown").get<std::int64_t>();
    const std::string apart =
        unknown > 0 ? fmt::format(" {} more could not be measured in both runs and are left out.",
                                  counted(unknown, for_public))
                    : std::string{};
    const auto said = [&](const char* name) {
        return counted(counts.at(name).get<std::int64_t>(), for_public);
    };
    const double before = sums.at("sum_before").get<double>();
    const double after = sums.at("sum_after").get<double>();
    return fmt::format(
        "Exposure fell for {} buildings ({} by a point or more) and rose for {} ({}). {}{}",
        said("fell"), said("fell_by_a_point_or_more"), said("rose"),
        said("rose_by_a_point_or_more"),
        with_sums
            ? fmt::format("For the {} buildings measured in both runs, total exposure {} {} to "
                          "{}.{}",
                          grouped(sums.at("structures").get<std::int64_t>()),
                          after < before ? "fell from" : "went from", grouped_tenths(before),
                          grouped_tenths(after), other_causes(sums))
            : "A few buildings are in only one of the runs. Total exposure and the hectares "
              "before and after are left out, so that no home can be singled out.",
        apart);
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

void add_areas(Html& html, const PageParts& parts, const PictureTable& areas, bool with_sums)
{
    std::vector<std::string> titles{"Where", "Distance from walls", "Removed", "Regrown",
                                    "Unmapped in either year"};
    if (with_sums) {
        titles.insert(titles.begin() + 2, "Before");
        titles.insert(titles.end() - 1, "After");
    }
    html.begin_figures("Hectares of conifers", titles);
    for (std::size_t i = 0; i < areas.rows; ++i) {
        if (!is_shown(parts, areas, i))
            continue;
        std::vector<std::string> cells{
            distance_words(areas.text("distance", i)), area_of(areas, "removed", i),
            area_of(areas, "regrown", i),
            shown(areas.number("ground_ha", i) - areas.number("compared_ha", i), 2)};
        if (with_sums) {
            cells.insert(cells.begin() + 1, shown(areas.number("conifer_before_ha", i), 2));
            cells.insert(cells.end() - 1, shown(areas.number("conifer_after_ha", i), 2));
        }
        html.row(areas.text("name", i), cells);
    }
    html.end_table();
}

} // namespace

void add_change(Html& html, const PageParts& parts)
{
    if (!parts.picture.change)
        return;
    const PictureChange& change = *parts.picture.change;
    const bool with_sums = !parts.for_public || !leaves_a_few(change.homes);
    html.begin("section", {{"id", "change"}}).element("h2", "What changed").line();
    for (const json& cause : change.manifest.value("cause_sentences", json::array()))
        html.begin("p", {{"class", "cause"}}).element("strong", cause.get<std::string>()).end();
    html.line();
    html.element("p", exposure_sentence(change.manifest, parts.for_public, with_sums)).line();
    add_areas(html, parts, change.areas, with_sums);
    if (!parts.for_public)
        html.begin("div", {{"id", "changed-homes"}}).end().line();
    html.element("p", change.manifest.value(parts.for_public ? "method_for_public" : "method", ""))
        .line();
    html.end().line();
}

} // namespace fuelring
