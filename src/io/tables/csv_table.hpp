// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/durable_file.hpp"
#include "io/tables/column.hpp"

#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <vector>

namespace fuelring {

/// A CSV file that is being written, row by row; without finish() it is removed.
class CsvTable {
public:
    struct Heading {
        std::string name;
        GpkgField::Type type = GpkgField::Type::real;
        int decimals = 0; ///< of real numbers
    };

    /// Writes the heading; `bom` puts the UTF-8 mark in front. Throws: Error{output}.
    CsvTable(const std::filesystem::path& path, std::vector<Heading> columns, bool bom);

    /// Values in the order of the columns; nothing is written for null. A text in a column of
    /// numbers is digits that were written before, and stays as it is. Throws: Error{output}.
    void add_row(std::span<const GpkgValue> values);

    /// Puts the file on the disk, reads it back and counts its records; writes the types of its
    /// columns beside it, as desktop GIS look for them: NAME.csvt by NAME.csv. Returns the number
    /// of text cells that were made inert for spreadsheets. Throws: Error{output}.
    std::int64_t finish();

private:
    void append_cell(const GpkgValue& value, const Heading& column);

    std::filesystem::path path_;
    std::vector<Heading> columns_;
    DurableFile file_;
    std::string gathered_; ///< text that the file has not got yet
    std::size_t records_ = 1;
    std::int64_t neutralised_ = 0;
};

template <typename Row>
std::vector<CsvTable::Heading> headings_of(const std::vector<Column<Row>>& columns)
{
    std::vector<CsvTable::Heading> headings;
    for (const Column<Row>& column : columns)
        headings.push_back({column.name, column.type, column.decimals});
    return headings;
}

/// Writes a whole table; the result is that of finish(). Throws: Error{output}.
template <typename Row, typename Rows>
std::int64_t write_csv(const std::filesystem::path& path, const std::vector<Column<Row>>& columns,
                       const Rows& rows, bool bom)
{
    CsvTable table{path, headings_of(columns), bom};
    for (const Row& row : rows)
        table.add_row(values_of(columns, row));
    return table.finish();
}

} // namespace fuelring
