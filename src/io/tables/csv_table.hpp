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
/// The file is RFC 4180: CRLF, a heading, UTF-8. For one thread.
///
///     CsvTable table{path, heads_of(columns), bom};
///     for (const Row& row : rows)
///         table.add_row(values_of(columns, row));
///     const std::int64_t made_inert = table.finish();
class CsvTable {
public:
    /// Writes the heading; `bom` puts the UTF-8 mark in front. Throws: Error{output}.
    CsvTable(const std::filesystem::path& path, std::vector<ColumnHead> columns, bool bom);

    /// Values in the order of the columns; nothing is written for null. A text in a column of
    /// numbers is digits that were written before, and stays as it is. Throws: Error{output}.
    /// Requires: as many values as columns. A number that is not finite leaves its cell empty.
    void add_row(std::span<const GpkgValue> values);

    /// Puts the file on the disk, reads it back and counts its records; writes the types of its
    /// columns beside it, as desktop GIS look for them: NAME.csvt by NAME.csv. Returns the number
    /// of text cells that were made inert for spreadsheets. Throws: Error{output}.
    /// Once, and last.
    std::int64_t finish();

private:
    /// Decimals are the column's; texts are made inert for spreadsheets (csv_writer.hpp).
    void append_cell(const GpkgValue& value, const ColumnHead& column);

    std::filesystem::path path_;
    std::vector<ColumnHead> columns_;
    DurableFile file_;
    std::string gathered_; ///< text that the file has not got yet
    std::size_t records_ = 1;
    std::int64_t neutralised_ = 0;
};

/// Writes a table of `count` rows, of which row(k) gives the k-th; the result is that of finish().
/// Throws: Error{output}.
template <typename Row, typename RowAt>
std::int64_t write_csv(const std::filesystem::path& path, const std::vector<Column<Row>>& columns,
                       std::size_t count, RowAt row, bool bom)
{
    CsvTable table{path, heads_of(columns), bom};
    for (std::size_t k = 0; k < count; ++k)
        table.add_row(values_of<Row>(columns, row(k)));
    return table.finish();
}

template <typename Row>
std::int64_t write_csv(const std::filesystem::path& path, const std::vector<Column<Row>>& columns,
                       const std::vector<Row>& rows, bool bom)
{
    const auto row = [&rows](std::size_t k) -> const Row& { return rows[k]; };
    return write_csv(path, columns, rows.size(), row, bom);
}

} // namespace fuelring
