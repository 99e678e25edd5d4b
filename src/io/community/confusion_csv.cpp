// SPDX-License-Identifier: Apache-2.0

// A confusion matrix as people keep it in a spreadsheet. What is most often wrong there: shares or
// per cents instead of counts, sums left in, a class that only the map or only the reference has.
#include "io/community/confusion_csv.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>

namespace fuelring {

namespace {

constexpr std::string_view corner = "map_class";
constexpr std::int64_t most_points = 1'000'000'000;
constexpr std::size_t most_classes = 1000;

/// Classes of the reference: the heading without its corner.
std::vector<std::string> parse_heading(const CsvReader& table)
{
    const std::vector<std::string>& cells = table.cells();
    if (cells.front() != corner || cells.size() < 2)
        table.place().fail(fmt::format("the heading starts with '{}' and has {} cells",
                                       cells.front(), cells.size()),
                           fmt::format("it reads {},CLASS,CLASS,... with the classes of the "
                                       "reference; rows are classes of the map",
                                       corner));
    if (cells.size() > most_classes + 1)
        table.place().fail(
            fmt::format("{} classes; {} is the most", cells.size() - 1, most_classes));
    for (auto cell = cells.begin() + 1; cell != cells.end(); ++cell) {
        if (cell->empty())
            table.place().fail(fmt::format("column {} has no name", cell - cells.begin() + 1),
                               "name it as the map names the class, or delete the column");
        if (std::find(cells.begin() + 1, cell, *cell) != cell)
            table.place().fail(fmt::format("column '{}' appears twice", *cell),
                               "keep one column of each class");
    }
    return {cells.begin() + 1, cells.end()};
}

std::int64_t parse_count(const std::string& cell, const std::string& column, const CsvPlace& place)
{
    const auto count = number_in<std::int64_t>(cell);
    if (!count || *count < 0 || *count > most_points)
        place.fail(
            fmt::format("column '{}': '{}' is not a count of points", column, cell),
            fmt::format("write whole numbers from 0 to {}, not shares or areas", most_points));
    return *count;
}

/// One row as the file has it.
struct Row {
    CsvPlace place;
    std::string map_class;
    std::vector<std::int64_t> counts; ///< in the order of columns
};

std::vector<Row> parse_rows(CsvReader& table, const std::vector<std::string>& columns)
{
    std::vector<Row> rows;
    std::unordered_map<std::string, std::size_t> line_of;
    while (table.next()) {
        const std::vector<std::string>& cells = table.cells();
        if (cells.front().empty())
            table.place().fail(fmt::format("column {}: the row has no class", corner),
                               "name it as the map does, or delete the row");
        const auto [first, is_new] = line_of.emplace(cells.front(), table.place().line);
        if (!is_new)
            table.place().fail(fmt::format("column {}: '{}' is already on line {}", corner,
                                           first->first, first->second));
        Row row{table.place(), cells.front(), {}};
        for (std::size_t k = 0; k < columns.size(); ++k)
            row.counts.push_back(parse_count(cells[k + 1], columns[k], table.place()));
        rows.push_back(std::move(row));
    }
    return rows;
}

/// Each class has a row and a column.
void require_square(const std::vector<Row>& rows, const std::vector<std::string>& columns,
                    const CsvPlace& heading)
{
    for (const Row& row : rows)
        if (std::find(columns.begin(), columns.end(), row.map_class) == columns.end())
            row.place.fail(fmt::format("map class '{}' has no column", row.map_class),
                           "spell it alike in row and heading, or add a column of zeros; delete "
                           "a row of sums");
    for (const std::string& column : columns)
        if (std::none_of(rows.begin(), rows.end(),
                         [&column](const Row& row) { return row.map_class == column; }))
            heading.fail(fmt::format("reference class '{}' has no row", column),
                         "spell it alike in heading and row, or add a row of zeros where the map "
                         "does not have the class; delete a column of sums");
}

/// Counts by row, columns in the order of rows.
ConfusionMatrix in_order(const std::vector<Row>& rows, const std::vector<std::string>& columns)
{
    ConfusionMatrix matrix;
    for (const Row& row : rows)
        matrix.classes.push_back(row.map_class);
    for (const Row& row : rows)
        for (const std::string& name : matrix.classes)
            matrix.counts.push_back(row.counts[static_cast<std::size_t>(
                std::find(columns.begin(), columns.end(), name) - columns.begin())]);
    return matrix;
}

/// Whether the last class of three or more is what the others sum to, in its row and its column.
bool ends_in_sums(const ConfusionMatrix& matrix)
{
    if (matrix.size() < 3)
        return false;
    const std::size_t last = matrix.size() - 1;
    for (std::size_t k = 0; k <= last; ++k) {
        std::int64_t row = 0;
        std::int64_t column = 0;
        for (std::size_t i = 0; i < last; ++i) {
            row += matrix.at(k, i);
            column += matrix.at(i, k);
        }
        // Every sum must agree, so that a class that is large by chance is not taken for one of
        // sums.
        if (row != matrix.at(k, last) || column != matrix.at(last, k))
            return false;
    }
    return true;
}

} // namespace

ConfusionMatrix read_confusion_matrix(const std::filesystem::path& csv, const std::string& remedy)
{
    CsvReader table{csv, {"the confusion matrix", remedy}};
    if (!table.next())
        table.place().fail("the confusion matrix has no heading",
                           fmt::format("it reads {},CLASS,CLASS,...", corner));
    const CsvPlace heading = table.place();
    const std::vector<std::string> columns = parse_heading(table);
    const std::vector<Row> rows = parse_rows(table, columns);
    require_square(rows, columns, heading);
    ConfusionMatrix matrix = in_order(rows, columns);
    if (std::all_of(matrix.counts.begin(), matrix.counts.end(),
                    [](std::int64_t n) { return n == 0; }))
        heading.fail("the confusion matrix has no points", "fill in its counts");
    if (ends_in_sums(matrix))
        rows.back().place.fail(
            fmt::format("class '{}' is the sum of the others, in its row and its column",
                        matrix.classes.back()),
            "delete the sums");
    return matrix;
}

} // namespace fuelring
