// SPDX-License-Identifier: Apache-2.0

// A CSV says nothing of types, so they are taken from the cells: it is a table that the program
// wrote, and a column of numbers has nothing else in it.
#include "io/run_folder/picture_table_in.hpp"

#include "base/csv_reader.hpp"

#include <algorithm>
#include <limits>
#include <string_view>

namespace fuelring {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

/// The text that was written, without the apostrophe that makes it inert in a spreadsheet.
std::string text_in(const std::string& cell)
{
    const std::size_t first = cell.find_first_not_of(" \t", 1);
    const bool made_inert =
        cell.size() > 1 && cell.front() == '\'' && first != cell.npos &&
        std::string_view{"=+-@\t\r"}.find(cell[first]) != std::string_view::npos;
    return made_inert ? cell.substr(1) : cell;
}

/// Digits after the point.
int decimals_in(const std::string& cell)
{
    const std::size_t point = cell.find('.');
    return point == cell.npos ? 0 : static_cast<int>(cell.size() - point - 1);
}

/// A column is of numbers where every cell is one or empty.
PictureColumn column_of(std::string name, const std::vector<std::vector<std::string>>& rows,
                        std::size_t k)
{
    PictureColumn column{std::move(name), PictureColumn::Kind::real, {}, {}};
    const bool numbers = std::all_of(rows.begin(), rows.end(), [k](const auto& row) {
        return row[k].empty() || number_in<double>(row[k]).has_value();
    });
    if (!numbers)
        column.kind = PictureColumn::Kind::text;
    for (const std::vector<std::string>& row : rows) {
        if (numbers) {
            column.numbers.push_back(number_in<double>(row[k]).value_or(nan));
            column.decimals = std::max(column.decimals, decimals_in(row[k]));
        } else {
            column.texts.push_back(text_in(row[k]));
        }
    }
    return column;
}

} // namespace

PictureTable read_picture_table(const std::filesystem::path& path)
{
    CsvReader lines{path, {"the run's table", "run fuelring map again"}};
    PictureTable table;
    std::vector<std::string> heading;
    std::vector<std::vector<std::string>> rows;
    if (lines.next())
        heading = lines.cells();
    while (lines.next())
        rows.push_back(lines.cells());
    table.rows = rows.size();
    for (std::size_t k = 0; k < heading.size(); ++k)
        table.columns.push_back(column_of(heading[k], rows, k));
    return table;
}

} // namespace fuelring
