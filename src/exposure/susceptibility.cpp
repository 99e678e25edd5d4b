// SPDX-License-Identifier: Apache-2.0

// A multiplier of 0 would rank a home as safe whatever stands beside it, so none is allowed; 100
// bounds what a slip of the pen can do.
#include "exposure/susceptibility.hpp"

#include "base/csv_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace fuelring {

namespace {

constexpr double largest_multiplier = 100;
constexpr std::array<std::string_view, 4> column_names = {"value", "label", "multiplier", "source"};

std::string_view trimmed(std::string_view text)
{
    const std::size_t first = text.find_first_not_of(" \t\r\n");
    if (first == text.npos)
        return {};
    return text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1);
}

/// Where value and multiplier stand in the heading.
std::array<std::size_t, 2> parse_heading(const CsvReader& table)
{
    const auto& cells = table.cells();
    const auto place_of = [&](std::string_view name) {
        const auto found = std::find(cells.begin(), cells.end(), name);
        if (found == cells.end())
            table.place().fail(fmt::format("column {} is missing", name),
                               fmt::format("the heading reads {}", fmt::join(column_names, ",")));
        return static_cast<std::size_t>(found - cells.begin());
    };
    for (const std::string_view name : column_names)
        place_of(name);
    return {place_of("value"), place_of("multiplier")};
}

double parse_multiplier(const std::string& cell, const CsvPlace& place)
{
    const auto value = number_in<double>(cell);
    if (!value || !is_multiplier(*value))
        place.fail(
            fmt::format("column multiplier: '{}' is not a number above 0 and at most 100", cell),
            "1 leaves the exposure as it is; nothing makes a structure safe");
    return *value;
}

} // namespace

std::optional<RankBy> rank_by(std::string_view name)
{
    for (const RankBy by : {RankBy::exposure, RankBy::exposure_x_susceptibility})
        if (name == name_of(by))
            return by;
    return std::nullopt;
}

std::string_view name_of(RankBy by)
{
    return by == RankBy::exposure ? "exposure" : "exposure_x_susceptibility";
}

bool is_multiplier(double value)
{
    return value > 0 && value <= largest_multiplier;
}

MultiplierTable MultiplierTable::read(const std::filesystem::path& csv)
{
    CsvReader rows{csv, {"the table of multipliers", "check inputs.structures.attributes"}};
    MultiplierTable table;
    std::array<std::size_t, 2> column{};
    if (rows.next())
        column = parse_heading(rows);
    while (rows.next()) {
        const std::string value{trimmed(rows.cells()[column[0]])};
        const double multiplier = parse_multiplier(rows.cells()[column[1]], rows.place());
        if (!table.multiplier_of_.emplace(value, multiplier).second)
            rows.place().fail(fmt::format("column value: '{}' is in two rows", value));
    }
    if (table.multiplier_of_.empty())
        rows.place().fail("the table of multipliers has no rows",
                          fmt::format("it reads {}", fmt::join(column_names, ",")));
    return table;
}

std::optional<double> MultiplierTable::find(std::string_view value) const
{
    const auto found = multiplier_of_.find(trimmed(value));
    return found == multiplier_of_.end() ? std::nullopt : std::optional{found->second};
}

} // namespace fuelring
