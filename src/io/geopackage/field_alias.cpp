// SPDX-License-Identifier: Apache-2.0

// Names of columns are built by rules (unit as a word of its own, ring as its two distances), so
// their aliases are too: word by word, the unit moved to the end.
#include "io/geopackage/field_alias.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <vector>

namespace fuelring {

namespace {

struct Unit {
    std::string_view word, unit;
};
constexpr std::array unit_words{
    Unit{"m2", "m²"}, Unit{"ha", "ha"},       Unit{"frac", "share 0 to 1"},
    Unit{"pct", "%"}, Unit{"deg", "degrees"}, Unit{"share", "share 0 to 1"},
    Unit{"m", "m"}};

struct Exact {
    std::string_view column, alias;
};
constexpr std::array exact{
    Exact{"x", "East (m)"},
    Exact{"y", "North (m)"},
    Exact{"lon", "Longitude (degrees)"},
    Exact{"lat", "Latitude (degrees)"},
    Exact{"structure_id", "Structure"},
    Exact{"footprint_m2", "Footprint (m²)"},
    Exact{"exposure_removed", "Exposure removed (points)"},
    Exact{"sum_exposure", "Summed exposure (points)"},
    Exact{"exposure_change", "Change of exposure (points)"},
    Exact{"change_by_fuel", "Change by fuel (points)"},
    Exact{"change_otherwise", "Change otherwise (points)"},
    Exact{"share_of_draws_in_first", "Draws in which it is among the first (share 0 to 1)"},
};

std::vector<std::string_view> words_of(std::string_view column)
{
    std::vector<std::string_view> words;
    for (std::size_t at = 0; at <= column.size();) {
        const std::size_t end = std::min(column.find('_', at), column.size());
        words.push_back(column.substr(at, end - at));
        at = end + 1;
    }
    return words;
}

bool is_number(std::string_view word)
{
    return !word.empty() && std::all_of(word.begin(), word.end(), [](unsigned char c) {
        return std::isdigit(c) != 0 || c == '.';
    });
}

/// "10m"
bool is_distance(std::string_view word)
{
    return word.size() > 1 && word.back() == 'm' && is_number(word.substr(0, word.size() - 1));
}

std::string_view unit_of(std::string_view word)
{
    for (const Unit& unit : unit_words)
        if (unit.word == word)
            return unit.unit;
    return {};
}

} // namespace

std::string field_alias(std::string_view column)
{
    for (const Exact& e : exact)
        if (e.column == column)
            return std::string{e.alias};
    std::string text;
    std::string_view unit;
    bool after_number = false;
    for (const std::string_view word : words_of(column)) {
        if (unit.empty() && !text.empty())
            if (unit = unit_of(word); !unit.empty())
                continue;
        if (word == "exposure" && unit.empty())
            unit = "0 to 100";
        if (!text.empty())
            text += after_number && is_distance(word) ? " to " : " ";
        after_number = is_number(word);
        text += is_distance(word) ? std::string{word.substr(0, word.size() - 1)} + " m"
                                  : std::string{word};
    }
    if (!text.empty())
        text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
    return unit.empty() ? text : text.append(" (").append(unit).append(")");
}

} // namespace fuelring
