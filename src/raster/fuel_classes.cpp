// SPDX-License-Identifier: Apache-2.0

// The fuel-class table: a small CSV, read strictly, since a wrong row is a wrong map.
//
// Shares become whole ten-thousandths here, once: sums of them are exact in any order, so no result
// depends on how the raster is divided. Index 0 is ground without a class; the rows of the file
// follow in their order, and codes that the raster holds beside them come behind those.
#include "base/csv_reader.hpp"

#include <fuelring/error.hpp>
#include <fuelring/fuel_classes.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <limits>
#include <memory>
#include <span>
#include <stdexcept>
#include <unordered_map>

namespace fuelring {

namespace {

constexpr std::array<std::string_view, 10> group_names = {
    "conifer", "mixed", "broadleaved", "grass",    "shrub",
    "built",   "water", "bare",        "unmapped", "share"};
/// Without the last one, which cells of shares have.
constexpr std::span groups_of_tables{group_names.data(), group_names.size() - 1};
constexpr std::array<std::string_view, 5> column_names = {"code", "label", "group", "conifer_share",
                                                          "source"};
/// An index must hold all rows and, at 0, `no data`.
constexpr std::size_t most_rows = std::numeric_limits<ClassIndex>::max() - 1;

std::int64_t parse_code(const std::string& cell, const CsvPlace& place)
{
    const auto code = number_in<std::int64_t>(cell);
    if (!code)
        place.fail(fmt::format("column code: '{}' is not a whole number", cell));
    return *code;
}

/// "0.25" to 2500. Digits are read as they stand: no rounding of binary fractions.
std::int32_t parse_share(std::string_view cell, const CsvPlace& place)
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
            "column conifer_share: '{}' is not a number from 0 to 1 with at most four decimals",
            cell));
    return share;
}

FuelClass parse_row(const std::vector<std::string>& cells, const std::array<std::size_t, 5>& column,
                    const CsvPlace& place)
{
    const std::optional<FuelGroup> group = fuel_group(cells[column[2]]);
    if (!group)
        place.fail(fmt::format("column group: '{}' is unknown", cells[column[2]]),
                   fmt::format("use one of {}", fmt::join(groups_of_tables, ", ")));
    const std::int32_t share = parse_share(cells[column[3]], place);
    // Unmapped ground is left out of the denominator: conifers on it could make a fraction above 1.
    if (*group == FuelGroup::unmapped && share > 0)
        place.fail("an unmapped class has a conifer_share", "set it to 0, or name another group");
    return {parse_code(cells[column[0]], place), cells[column[1]], *group, share, cells[column[4]]};
}

/// Where each of column_names stands in the heading.
std::array<std::size_t, 5> parse_heading(const std::vector<std::string>& cells,
                                         const CsvPlace& place)
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

void require_valid(const FuelClass& row)
{
    const auto refuse = [&row](const std::string& what) {
        throw Error{Failure::usage, fmt::format("class {} ({}): {}", row.code, row.label, what)};
    };
    const auto group = static_cast<unsigned>(row.group);
    if (group < 1 || group > group_names.size())
        refuse(fmt::format("{} is not a group", group));
    if (row.conifer_share < 0 || row.conifer_share > whole_share)
        refuse(fmt::format("a conifer share of {} ten-thousandths; it lies between 0 and {}",
                           row.conifer_share, whole_share));
    if (row.group == FuelGroup::unmapped && row.conifer_share > 0)
        refuse("an unmapped class has a conifer share");
}

} // namespace

std::string_view name_of(FuelGroup group)
{
    const auto number = static_cast<std::size_t>(group);
    if (number < 1 || number > group_names.size())
        throw std::out_of_range{fmt::format("name_of: {} is not a fuel group", number)};
    return group_names[number - 1];
}

std::optional<FuelGroup> fuel_group(std::string_view name)
{
    const auto found = std::find(groups_of_tables.begin(), groups_of_tables.end(), name);
    if (found == groups_of_tables.end())
        return std::nullopt;
    return static_cast<FuelGroup>(found - groups_of_tables.begin() + 1);
}

bool is_vegetation(FuelGroup group)
{
    return group >= FuelGroup::conifer && group <= FuelGroup::shrub;
}

struct FuelClassTable::Rows {
    std::vector<FuelClass> all;
    std::unordered_map<std::int64_t, ClassIndex> index_of;
    std::size_t listed = 1; ///< rows before the unlisted ones
};

FuelClassTable::FuelClassTable(const std::vector<FuelClass>& rows)
{
    if (rows.size() > most_rows)
        throw Error{Failure::usage, fmt::format("a fuel-class table of {} rows; {} is the most",
                                                rows.size(), most_rows)};
    const auto table = std::make_shared<Rows>();
    table->all.reserve(rows.size() + 1);
    table->all.push_back({.label = "no data", .source = "nodata of the raster and ground off it"});
    for (const FuelClass& row : rows) {
        require_valid(row);
        const auto index = static_cast<ClassIndex>(table->all.size());
        if (!table->index_of.emplace(row.code, index).second)
            throw Error{Failure::usage, fmt::format("code {} is in two rows", row.code)};
        table->all.push_back(row);
    }
    table->listed = table->all.size();
    rows_ = table;
}

const std::vector<FuelClass>& FuelClassTable::rows() const
{
    return rows_->all;
}

const FuelClass& FuelClassTable::operator[](ClassIndex index) const
{
    return rows_->all.at(index);
}

bool FuelClassTable::is_listed(ClassIndex index) const
{
    return index > 0 && index < rows_->listed;
}

ClassIndex FuelClassTable::add_unlisted(FuelClass row)
{
    if (rows().size() > most_rows)
        throw Error{Failure::usage,
                    fmt::format("a fuel-class table of {} rows leaves no room for more; {} is the "
                                "most",
                                rows().size() - 1, most_rows)};
    require_valid(row);
    const auto table = std::make_shared<Rows>(*rows_);
    table->all.push_back(std::move(row));
    rows_ = table;
    return static_cast<ClassIndex>(table->all.size() - 1);
}

FuelClassTable FuelClassTable::read(const std::filesystem::path& csv)
{
    CsvReader table{csv, {"the fuel-class table", "check inputs.fuel.classes"}};
    std::array<std::size_t, 5> column{};
    if (table.next())
        column = parse_heading(table.cells(), table.place());
    std::vector<FuelClass> rows;
    // The table refuses a double code, too, but cannot say on which line the first one is.
    std::unordered_map<std::int64_t, std::size_t> line_of;
    while (table.next()) {
        rows.push_back(parse_row(table.cells(), column, table.place()));
        const auto [first, is_new] = line_of.emplace(rows.back().code, table.place().line);
        if (!is_new)
            table.place().fail(
                fmt::format("column code: {} is already on line {}", first->first, first->second));
    }
    if (rows.empty())
        table.place().fail("the fuel-class table has no rows",
                           fmt::format("it reads {}", fmt::join(column_names, ",")));
    return FuelClassTable{rows};
}

std::optional<ClassIndex> FuelClassTable::find(std::int64_t code) const
{
    const auto found = rows_->index_of.find(code);
    if (found == rows_->index_of.end())
        return std::nullopt;
    return found->second;
}

} // namespace fuelring
