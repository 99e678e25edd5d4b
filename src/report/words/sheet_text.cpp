// SPDX-License-Identifier: Apache-2.0

// Which words a template must have, and how names in braces are filled in. The table of words is
// the one place that knows both: reading a template checks against it, drawing asks through it.
#include "report/words/sheet_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <stdexcept>

namespace fuelring::report {

namespace {

constexpr WordSpec specs[] = {
    {"page", "kicker", "community"},
    {"page", "place", "neighbourhood community"},
    {"page", "place_outside", "community"},
    {"page", "imagery", "imagery_date"},
    {"page", "imagery_undated", ""},
    {"page", "no_address", "structure"},
    {"page", "stands", ""},
    {"page", "first", ""},
    {"page", "own", ""},
    {"page", "everyone", ""},
    {"page", "advice_source", "source"},
    {"page", "ground", ""},
    {"page", "before", ""},
    {"page", "source", "structure program community"},
    {"job", "title", ""},
    {"job", "clear", "area near exposure after"},
    {"job", "clear_little", "area near exposure"},
    {"job", "others", "area"},
    {"job", "roof", "area"},
    {"job", "none", "near"},
    {"job", "unmapped", "near"},
    {"plan", "close", ""},
    {"plan", "wide", "widest"},
    {"plan", "north", ""},
    {"plan", "home", ""},
    {"plan", "neighbours", ""},
    {"plan", "conifers", ""},
    {"plan", "unmapped", ""},
    {"plan", "parcels", ""},
    {"plan", "distance", "distance"},
    {"plan", "streets", ""},
    {"plan", "paths", ""},
    {"plan", "railway", ""},
    {"plan", "water", ""},
    {"figures", "nearest", "distance"},
    {"figures", "nearest_touching", ""},
    {"figures", "nearest_none", "widest"},
    {"figures", "roof", "area"},
    {"figures", "ring", "from to conifer percent other"},
    {"figures", "ring_none", "from to other"},
    {"figures", "ring_only", "from to conifer percent", true},
    {"figures", "ring_none_only", "from to", true},
    {"figures", "ring_unmapped", "from to"},
    {"figures", "ring_partly", "percent"},
    {"figures", "exposure", "exposure rank structures"},
    {"figures", "exposure_first", "exposure structures"},
    {"figures", "exposure_none", ""},
    {"figures", "slope", "factor"},
    {"ground", "separator", ""},
    {"ground", "within", "distance list"},
    {"ground", "item", "area owner"},
    {"ground", "none", "distance"},
    {"ground", "unknown", "distance"},
    {"ground", "no_parcels", ""},
    {"owners", "own", ""},
    {"owners", "other_private", ""},
    {"owners", "no_parcel", ""},
    {"owners", "other", ""},
    {"owners", "class", "class"},
    {"limits", "text", ""},
    {"brief", "title", "place"},
    {"brief", "near", "near_count known near"},
    {"brief", "near_partly", "near_count known near unknown"},
    {"brief", "near_unknown", "count near"},
    {"brief", "plan", "hectares percent"},
    {"brief", "highest", "name exposure next next_exposure"},
    {"brief", "exposure", ""},
    {"brief", "legend", ""},
    {"brief", "bars", ""},
    {"brief", "by_class", ""},
    {"brief", "curve", ""},
    {"brief", "hectares", ""},
    {"brief", "lowered", ""},
    {"brief", "limit", ""},
    {"brief", "budget", "hectares percent"},
    {"brief", "budget_money", "hectares cost percent"},
    {"brief", "no_plan", ""},
    {"brief", "limits_count", ""},
    {"brief", "limits_map", ""},
    {"brief", "limits_use", ""},
    {"brief", "source", "program imagery_date"},
    {"brief", "source_undated", "program"},
    {"map", "title", "place"},
    {"map", "legend", ""},
    {"map", "class", "from to"},
    {"map", "count", "from to count"},
    {"map", "no_figure", ""},
    {"map", "reach", "widest"},
    {"map", "outside", ""},
    {"map", "merged", ""},
    {"map", "merged_note", ""},
    {"map", "community", ""},
    {"map", "table", ""},
    {"map", "row", "exposure count near_count near"},
    {"map", "row_partly", "exposure measured count near_count known near"},
    {"map", "row_unknown", "exposure measured count"},
    {"map", "unmeasured", "count"},
    {"map", "more", "count"},
    {"map", "backdrop", "credit"},
    {"map", "context", "credit"},
    {"map", "source", "program imagery_date limits"},
    {"map", "source_undated", "program limits"},
};

/// Calls visit(before, name) for each {name} with the text before it, and returns what follows.
template <typename Visit>
std::string_view for_each_name(std::string_view text, Visit&& visit)
{
    for (;;) {
        const std::size_t open = text.find('{');
        const std::size_t close = open == text.npos ? open : text.find('}', open);
        if (close == text.npos)
            return text;
        visit(text.substr(0, open), text.substr(open + 1, close - open - 1));
        text.remove_prefix(close + 1);
    }
}

bool is_among(std::string_view name, std::string_view names)
{
    while (!names.empty()) {
        const std::size_t end = std::min(names.find(' '), names.size());
        if (names.substr(0, end) == name)
            return true;
        names.remove_prefix(std::min(end + 1, names.size()));
    }
    return false;
}

} // namespace

std::span<const WordSpec> word_specs()
{
    return specs;
}

std::string filled(std::string_view text, Fillings fillings)
{
    std::string out;
    const std::string_view rest =
        for_each_name(text, [&](std::string_view before, std::string_view name) {
            out += before;
            const auto found = std::find_if(fillings.begin(), fillings.end(),
                                            [&](const auto& f) { return f.first == name; });
            out += found == fillings.end() ? fmt::format("{{{}}}", name) : found->second;
        });
    return out.append(rest);
}

std::string fault_in_braces(std::string_view text, std::string_view names)
{
    std::string fault;
    const auto stray = [](std::string_view part) { return part.find_first_of("{}") != part.npos; };
    bool unpaired = false;
    const std::string_view rest =
        for_each_name(text, [&](std::string_view before, std::string_view name) {
            unpaired = unpaired || stray(before) || stray(name);
            if (fault.empty() && !is_among(name, names))
                fault = names.empty()
                            ? fmt::format("{{{}}}: nothing is filled in here", name)
                            : fmt::format("{{{}}} is not known here, but {}", name, names);
        });
    return unpaired || stray(rest) ? "a brace without its partner" : fault;
}

const std::string& SheetText::word(std::string_view key) const
{
    const auto found = words.find(key);
    if (found == words.end())
        throw std::logic_error{"no word of that key: " + std::string{key}};
    return found->second;
}

std::string SheetText::word(std::string_view key, Fillings fillings) const
{
    return filled(word(key), fillings);
}

std::string SheetText::number(double value, int decimals) const
{
    std::string digits = fmt::format("{:.{}f}", value, decimals);
    if (digits.find_first_not_of("-0.") == digits.npos && digits.front() == '-')
        digits.erase(0, 1);
    const std::size_t point = std::min(digits.find('.'), digits.size());
    std::string out;
    for (std::size_t k = 0; k < digits.size(); ++k) {
        const bool group = k > 0 && k < point && (point - k) % 3 == 0 && digits[k - 1] != '-';
        if (group)
            out += thousands;
        if (k == point)
            out += decimal;
        else
            out += digits[k];
    }
    return out;
}

std::string SheetText::date(const std::string& day) const
{
    constexpr std::size_t iso_length = 10;
    int year = 0;
    unsigned month = 0;
    unsigned of_month = 0;
    if (day.size() != iso_length ||
        std::sscanf(day.c_str(), "%4d-%2u-%2u", &year, &month, &of_month) != 3 || month < 1 ||
        month > months.size())
        return day;
    return filled(date_style, {{"day", fmt::format("{}", of_month)},
                               {"month", months[month - 1]},
                               {"year", fmt::format("{}", year)}});
}

std::string SheetText::length(double value) const
{
    for (int decimals = 0; decimals < 3; ++decimals) {
        const std::string shown = fmt::format("{:.{}f}", value, decimals);
        if (std::abs(std::stod(shown) - value) < 5e-4)
            return number(value, decimals);
    }
    return number(value, 3);
}

} // namespace fuelring::report
