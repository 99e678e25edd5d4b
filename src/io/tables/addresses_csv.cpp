// SPDX-License-Identifier: Apache-2.0
#include "base/program/csv_writer.hpp"
#include "base/program/durable_file.hpp"
#include "io/tables/csvt.hpp"
#include "io/tables/table_columns.hpp"

namespace fuelring {

namespace {

/// Bytes gathered before they are handed to the file.
constexpr std::size_t gathered_bytes = 1 << 20;

std::string header(const std::vector<TableColumn>& columns)
{
    std::string line;
    for (const TableColumn& column : columns)
        line.append(line.empty() ? "" : ",").append(column.name);
    return line.append(csv_line_end);
}

/// Appends one line; returns how many of its texts had to be neutralised.
std::int64_t append_row(std::string& to, const RunTables& tables, const AddressRow& row,
                        const std::vector<TableColumn>& columns, std::vector<double>& numbers)
{
    std::int64_t neutralised = 0;
    structure_numbers(tables, row.structure, numbers);
    for (std::size_t k = 0; k < columns.size(); ++k) {
        if (k > 0)
            to += ',';
        const TableColumn& column = columns[k];
        if (column.is_text())
            neutralised += append_text_cell(to, column_text(tables, row, column.kind)) ? 1 : 0;
        else
            append_number(to, numbers[k], column.decimals);
    }
    to += csv_line_end;
    return neutralised;
}

} // namespace

std::int64_t write_addresses_csv(const std::filesystem::path& path, const RunTables& tables,
                                 bool bom)
{
    const std::vector<TableColumn> columns = address_columns(tables);
    DurableFile file{path};
    std::string text{bom ? utf8_mark : std::string_view{}};
    text += header(columns);
    std::vector<double> numbers;
    std::int64_t neutralised = 0;
    for (const AddressRow& row : tables.rows) {
        neutralised += append_row(text, tables, row, columns, numbers);
        if (text.size() >= gathered_bytes) {
            file.write(text);
            text.clear();
        }
    }
    file.write(text);
    file.finish();
    require_csv_records(path, tables.rows.size() + 1);
    std::vector<GpkgField::Type> types;
    for (const TableColumn& column : columns)
        types.push_back(column.is_text()                            ? GpkgField::Type::text
                        : column.kind == TableColumn::Kind::integer ? GpkgField::Type::integer
                                                                    : GpkgField::Type::real);
    write_csvt(path, types);
    return neutralised;
}

} // namespace fuelring
