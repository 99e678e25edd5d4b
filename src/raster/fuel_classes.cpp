// SPDX-License-Identifier: Apache-2.0

// The fuel-class table: a small CSV, read strictly, since a wrong row is a wrong map.
#include <fuelring/error.hpp>
#include <fuelring/fuel_classes.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <charconv>
#include <cstring>
#include <fstream>
#include <iterator>
#include <limits>

namespace fuelring {

namespace {

constexpr std::array<std::string_view, 9> group_names = {
    "conifer", "mixed", "broadleaved", "grass", "shrub", "built", "water", "bare", "unmapped"};
constexpr std::array<std::string_view, 5> column_names = {"code", "label", "group", "conifer_share",
                                                          "source"};
constexpr std::size_t most_rows = std::numeric_limits<ClassIndex>::max() - 1;

/// A place in the file, for messages.
struct Place {
    const std::filesystem::path& csv;
    std::size_t line = 0;

    [[noreturn]] void fail(const std::string& what, std::string remedy = {}) const
    {
        throw Error{Failure::usage, what, fmt::format("{}, line {}", csv.string(), line),
                    std::move(remedy)};
    }
};

std::string_view trimmed(std::string_view text)
{
    constexpr std::string_view blanks = " \t\r";
    const std::size_t first = text.find_first_not_of(blanks);
    if (first == text.npos)
        return {};
    return text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

/// The quoted cell that starts at line[at]; moves `at` behind its closing quote.
std::string quoted_cell(std::string_view line, std::size_t& at, const Place& place)
{
    std::string cell;
    for (++at; at < line.size(); ++at) {
        if (line[at] != '"')
            cell += line[at];
        else if (at + 1 < line.size() && line[at + 1] == '"')
            cell += line[at++];
        else
            return ++at, cell;
    }
    place.fail("a quoted cell does not end on its line", "close it with \"");
}

std::vector<std::string> split(std::string_view line, const Place& place)
{
    std::vector<std::string> cells;
    std::size_t at = 0;
    for (;;) {
        while (at < line.size() && line[at] == ' ')
            ++at;
        const bool quoted = at < line.size() && line[at] == '"';
        std::string cell = quoted ? quoted_cell(line, at, place) : std::string{};
        const std::size_t comma = std::min(line.find(',', at), line.size());
        const std::string_view rest = trimmed(line.substr(at, comma - at));
        if (quoted && !rest.empty())
            place.fail("text follows the closing quote of a cell", "double the quotes inside it");
        cells.push_back(quoted ? std::move(cell) : std::string{rest});
        if (comma == line.size())
            return cells;
        at = comma + 1;
    }
}

std::int64_t parse_code(const std::string& cell, const Place& place)
{
    std::int64_t code = 0;
    const char* end = cell.data() + cell.size();
    const auto [stop, failure] = std::from_chars(cell.data(), end, code);
    if (failure != std::errc{} || stop != end)
        place.fail(fmt::format("column code: '{}' is no whole number", cell));
    return code;
}

/// "0.25" to 2500. Digits are read as they stand: no rounding of binary fractions.
std::int32_t parse_share(std::string_view cell, const Place& place)
{
    const std::size_t point = std::min(cell.find('.'), cell.size());
    const std::string_view whole = cell.substr(0, point);
    std::string decimals{cell.substr(std::min(point + 1, cell.size()))};
    const bool all_digits =
        std::all_of(decimals.begin(), decimals.end(), [](char c) { return c >= '0' && c <= '9'; });
    bool good =
        (whole == "0" || whole == "1" || (whole.empty() && !decimals.empty())) && all_digits;
    while (!decimals.empty() && decimals.back() == '0')
        decimals.pop_back();
    std::int32_t share = whole == "1" ? whole_share : 0;
    std::int32_t unit = whole_share;
    for (std::size_t k = 0; good && k < decimals.size(); ++k) {
        unit /= 10;
        good = unit > 0;
        share += unit * (decimals[k] - '0');
    }
    if (!good || share > whole_share)
        place.fail(fmt::format(
            "column conifer_share: '{}' is no number from 0 to 1 of at most four decimals", cell));
    return share;
}

FuelClass parse_row(const std::vector<std::string>& cells, const std::array<std::size_t, 5>& column,
                    const Place& place)
{
    const std::optional<FuelGroup> group = fuel_group(cells[column[2]]);
    if (!group)
        place.fail(fmt::format("column group: '{}' is unknown", cells[column[2]]),
                   fmt::format("use one of {}", fmt::join(group_names, ", ")));
    const std::int32_t share = parse_share(cells[column[3]], place);
    if (*group == FuelGroup::unmapped && share > 0)
        place.fail("an unmapped class has a conifer_share", "set it to 0, or name another group");
    return {parse_code(cells[column[0]], place), cells[column[1]], *group, share, cells[column[4]]};
}

/// Where each of column_names stands in the heading.
std::array<std::size_t, 5> parse_heading(const std::vector<std::string>& cells, const Place& place)
{
    std::array<std::size_t, 5> column{};
    for (std::size_t k = 0; k < column_names.size(); ++k) {
        const auto found = std::find(cells.begin(), cells.end(), column_names[k]);
        if (found == cells.end())
            place.fail(fmt::format("column {} is missing", column_names[k]),
                       fmt::format("the heading reads {}", fmt::join(column_names, ",")));
        column[k] = static_cast<std::size_t>(found - cells.begin());
    }
    return column;
}

std::string read_text(const std::filesystem::path& csv)
{
    std::ifstream file{csv, std::ios::binary};
    std::string text{std::istreambuf_iterator<char>{file}, {}};
    if (!file.is_open() || file.bad())
        throw Error{Failure::usage,
                    std::string{"the fuel-class table cannot be read: "} + std::strerror(errno),
                    csv.string(), "check inputs.fuel.classes"};
    if (text.starts_with("\xEF\xBB\xBF"))
        text.erase(0, 3);
    return text;
}

} // namespace

std::string_view name_of(FuelGroup group)
{
    return group_names.at(static_cast<std::size_t>(group) - 1);
}

std::optional<FuelGroup> fuel_group(std::string_view name)
{
    const auto found = std::find(group_names.begin(), group_names.end(), name);
    if (found == group_names.end())
        return std::nullopt;
    return static_cast<FuelGroup>(found - group_names.begin() + 1);
}

bool is_vegetation(FuelGroup group)
{
    return group >= FuelGroup::conifer && group <= FuelGroup::shrub;
}

FuelClassTable::FuelClassTable(const std::vector<FuelClass>& rows)
{
    if (rows.size() > most_rows)
        throw Error{Failure::usage, fmt::format("a fuel-class table of {} rows; {} is the most",
                                                rows.size(), most_rows)};
    rows_.reserve(rows.size() + 1);
    rows_.push_back({.label = "no data", .source = "nodata of the raster and ground off it"});
    for (const FuelClass& row : rows) {
        if (!index_of_.emplace(row.code, static_cast<ClassIndex>(rows_.size())).second)
            throw Error{Failure::usage, fmt::format("code {} stands in two rows", row.code)};
        rows_.push_back(row);
    }
}

FuelClassTable FuelClassTable::read(const std::filesystem::path& csv)
{
    const std::string text = read_text(csv);
    Place place{csv};
    std::optional<std::array<std::size_t, 5>> column;
    std::size_t width = 0;
    std::vector<FuelClass> rows;
    std::unordered_map<std::int64_t, std::size_t> line_of;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        const std::string_view line = trimmed(std::string_view{text}.substr(at, end - at));
        at = end + 1;
        ++place.line;
        if (line.empty() || line.front() == '#')
            continue;
        const std::vector<std::string> cells = split(line, place);
        if (!column) {
            column = parse_heading(cells, place);
            width = cells.size();
            continue;
        }
        if (cells.size() != width)
            place.fail(fmt::format("{} cells where the heading has {}", cells.size(), width),
                       "quote a cell that holds a comma");
        rows.push_back(parse_row(cells, *column, place));
        const auto [first, is_new] = line_of.emplace(rows.back().code, place.line);
        if (!is_new)
            place.fail(fmt::format("column code: {} stands on line {} already", first->first,
                                   first->second));
    }
    if (rows.empty())
        place.fail("the fuel-class table has no rows",
                   fmt::format("it reads {}", fmt::join(column_names, ",")));
    return FuelClassTable{rows};
}

std::optional<ClassIndex> FuelClassTable::find(std::int64_t code) const
{
    const auto found = index_of_.find(code);
    if (found == index_of_.end())
        return std::nullopt;
    return found->second;
}

} // namespace fuelring
