// SPDX-License-Identifier: Apache-2.0

// A good delivery differs from the last one by what was built, cut, measured and drawn since: a few
// points of a share. A wrong one differs by tens: another layer, band, column, unit or place.
#include "run/gate/gate_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace fuelring {

namespace {

constexpr double few_of_all = 2; ///< so many may come or go in the smallest community

using Compare = GateRule::Compare;
using Text = std::string_view;

constexpr GateBound in_points{"max_change", [](const GateSettings& s) { return s.max_change; }};
constexpr GateBound in_relation{"max_relative_change",
                                [](const GateSettings& s) { return s.max_relative_change; }};
constexpr GateBound of_structures{"max_structures_change",
                                  [](const GateSettings& s) { return s.max_structures_change; }};
constexpr GateBound of_groups{"max_regrouped",
                              [](const GateSettings& s) { return s.max_regrouped; }};
constexpr GateBound of_heights{"min_height_correlation",
                               [](const GateSettings& s) { return 1 - s.min_height_correlation; }};
constexpr GateBound half_of_them{"", [](const GateSettings&) { return 50.0; }};
constexpr GateBound nearly_all{"", [](const GateSettings&) { return 90.0; }};
/// Metres: the sea levels of two systems of heights, and an ellipsoid, are closer than this.
constexpr GateBound any_datum{"", [](const GateSettings&) { return 120.0; }};

constexpr GateRule portion(GateKind kind, Text key, Text figure, Text words)
{
    return {kind, key, figure, Compare::fall, in_points, 0, words, "%"};
}
constexpr GateRule number(GateKind kind, Text figure, const GateBound& bound, Text words)
{
    return {kind, figure, figure, Compare::count, bound, 0, words, ""};
}
constexpr GateRule finding(GateKind kind, Text key, Text figure, const GateBound& bound, Text words)
{
    return {kind, key, figure, Compare::itself, bound, 0, words, ""};
}
constexpr GateRule land(Text key, Text figure, Compare compare, const GateBound& bound,
                        double least, Text words)
{
    return {GateKind::ground, key, figure, compare, bound, least, words, "%"};
}
constexpr GateRule height(Text key, Text figure, Compare compare, const GateBound& bound,
                          double least, Text words)
{
    return {GateKind::heights, key, figure, compare, bound, least, words, " m"};
}

using enum GateKind;
constexpr GateRule gate_table[] = {
    land("mapped_share", "mapped_percent", Compare::points, in_points, 0,
         "the mapped share of the land within {} m of the structures"),
    land("conifer_share", "conifer_percent", Compare::points, in_points, 0,
         "the conifer share of the land within {} m of the structures"),
    land("conifers_gone", "conifer_percent", Compare::loss, nearly_all, 0.1,
         "nearly all conifers are gone: the conifer share of the land within {} m of the "
         "structures"),
    land("conifers_changed", "conifer_percent", Compare::relative, in_relation, 1,
         "the conifer share of the land within {} m of the structures"),
    finding(codes, "new_codes", "new_codes_percent", in_points,
            "{}% of the cells around the structures have codes that the last run did not meet"),
    number(structures, "structures", of_structures, "the number of structures"),
    finding(structures, "ids", "ids_vanished_percent", half_of_them,
            "{}% of the last run's structure ids are gone"),
    finding(structures, "structures_shifted", "moved_alike_percent", half_of_them,
            "the structures are shifted"),
    finding(structures, "ids_elsewhere", "ids_elsewhere_percent", half_of_them,
            "{}% of the last run's structure ids are now in other places: ids were assigned again"),
    number(addresses, "addresses", in_relation, "the number of addresses"),
    portion(addresses, "addresses_joined", "addresses_joined_percent",
            "the share of addresses that join a structure"),
    portion(addresses, "with_address", "structures_with_address_percent",
            "the share of structures with an address"),
    finding(addresses, "addresses_elsewhere", "addresses_elsewhere_percent", half_of_them,
            "{}% of the last run's addresses are gone or belong to another structure"),
    portion(neighbourhoods, "in_neighbourhood", "structures_in_neighbourhood_percent",
            "the share of structures in a neighbourhood"),
    finding(neighbourhoods, "other_neighbourhood", "other_neighbourhood_percent", of_groups,
            "{}% of the structures are in another of the last run's neighbourhoods"),
    finding(neighbourhoods, "new_neighbourhoods", "new_neighbourhood_percent", half_of_them,
            "{}% of the structures are in neighbourhoods that the last run did not have"),
    number(neighbourhoods, "neighbourhoods", in_relation, "the number of neighbourhoods"),
    portion(parcels, "on_parcel", "structures_on_parcel_percent",
            "the share of structures on a parcel"),
    portion(parcels, "own_parcel", "footprint_on_own_parcel_percent",
            "the share of footprint on the parcel that has most of its structure"),
    finding(parcels, "owners", "owner_changed_percent", of_groups,
            "{}% of the structures are on land of another owner class"),
    {corrections, "corrections", "corrections", Compare::loss, in_relation, 0,
     "the number of field checks", ""},
    portion(heights, "with_slope", "structures_with_slope_percent",
            "the share of structures on ground with a slope"),
    height("height_range", "height_range_m", Compare::relative, in_relation, 20,
           "between low and high, heights at the structures span"),
    height("height_level", "height_mean_m", Compare::points, any_datum, 0,
           "the mean height at the structures"),
    height("height_scale", "height_scale", Compare::relative, in_relation, 0,
           "the size of a height difference of 1 m"),
    finding(heights, "height_order", "height_disagreement", of_heights,
            "heights at the structures are not those of the last run"),
};

std::string bound_text(const GateRule& rule, const GateSettings& settings)
{
    if (rule.bound.setting.empty())
        return {};
    const double bound = rule.bound(settings);
    return fmt::format(" (gate.{} is {:.10g})", rule.bound.setting,
                       rule.bound.setting == "min_height_correlation" ? 1 - bound : bound);
}

} // namespace

std::optional<GateKind> gate_kind(std::string_view name)
{
    for (const GateKind kind : all_gate_kinds)
        if (name_of(kind) == name)
            return kind;
    return std::nullopt;
}

std::string_view name_of(GateKind kind)
{
    static constexpr std::string_view names[] = {"raster",     "ground",      "codes",
                                                 "structures", "addresses",   "neighbourhoods",
                                                 "parcels",    "corrections", "heights"};
    return names[static_cast<std::size_t>(kind)];
}

bool holds(const GateReasons& reasons)
{
    return std::any_of(reasons.begin(), reasons.end(), [](const GateReason& r) { return r.holds; });
}

void add(GateReasons& reasons, const GateReasons& more)
{
    reasons.insert(reasons.end(), more.begin(), more.end());
}

std::span<const GateRule> gate_rules()
{
    return gate_table;
}

const GateRule& gate_rule(std::string_view key)
{
    const auto at = std::find_if(std::begin(gate_table), std::end(gate_table),
                                 [key](const GateRule& rule) { return rule.key == key; });
    if (at == std::end(gate_table))
        throw std::logic_error{fmt::format("the gate has no rule {}", key)};
    return *at;
}

double moved_by(const GateRule& rule, double before, double now)
{
    const double larger = std::max(std::abs(before), std::abs(now));
    if (std::isnan(before) || std::isnan(now) || larger < rule.least)
        return 0;
    const double change = std::abs(now - before);
    switch (rule.compare) {
    case Compare::points:
        return change;
    case Compare::fall:
        return std::max(0.0, before - now);
    case Compare::relative:
        return larger > 0 ? 100 * change / larger : 0;
    case Compare::count:
        return change > few_of_all && before > 0 ? 100 * change / before : 0;
    case Compare::loss:
        return before > 0 ? std::max(0.0, 100 - 100 * now / before) : 0;
    case Compare::itself:
        return now;
    }
    return 0;
}

GateReasons judge(const GateRule& rule, double before, double now, const GateSettings& settings,
                  const std::string& words)
{
    const double moved = moved_by(rule, before, now);
    const double bound = rule.bound(settings);
    if (!(moved > bound / 2))
        return {};
    const std::string number = fmt::format("{:.4g}", now);
    std::string text = words.empty() ? std::string{rule.words} : words;
    if (rule.compare != Compare::itself)
        text += fmt::format(": {:.4g}{} in the last run, {}{} now", before, rule.unit, number,
                            rule.unit);
    else if (words.empty())
        text = fmt::format(fmt::runtime(rule.words), number);
    return {{rule.kind, std::string{rule.key}, text + bound_text(rule, settings), moved > bound}};
}

} // namespace fuelring
