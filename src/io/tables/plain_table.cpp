// SPDX-License-Identifier: Apache-2.0
#include "io/tables/plain_table.hpp"

#include "base/program/csv_writer.hpp"
#include "base/program/durable_file.hpp"
#include "io/tables/csvt.hpp"

#include <cmath>

namespace fuelring {

RowValues& RowValues::number(std::optional<double> value)
{
    GpkgValue& to = values_.emplace_back();
    if (value && std::isfinite(*value))
        to = *value;
    return *this;
}

RowValues& RowValues::count(std::optional<std::int64_t> value)
{
    GpkgValue& to = values_.emplace_back();
    if (value)
        to = *value;
    return *this;
}

RowValues& RowValues::text(const std::string& value)
{
    GpkgValue& to = values_.emplace_back();
    if (!value.empty())
        to = value;
    return *this;
}

std::int64_t write_plain_csv(const std::filesystem::path& path, const PlainTable& table, bool bom)
{
    std::string text{bom ? utf8_mark : std::string_view{}};
    for (std::size_t k = 0; k < table.columns.size(); ++k)
        text.append(k == 0 ? "" : ",").append(table.columns[k].name);
    text += csv_line_end;
    std::int64_t neutralised = 0;
    for (const PlainTable::Row& row : table.rows) {
        for (std::size_t k = 0; k < row.values.size(); ++k) {
            if (k > 0)
                text += ',';
            if (const auto* words = std::get_if<std::string>(&row.values[k]))
                neutralised += append_text_cell(text, *words) ? 1 : 0;
            else if (const auto* count = std::get_if<std::int64_t>(&row.values[k]))
                text += std::to_string(*count);
            else if (const auto* number = std::get_if<double>(&row.values[k]))
                append_number(text, *number, table.columns[k].decimals);
        }
        text += csv_line_end;
    }
    write_durably(path, text);
    require_csv_records(path, table.rows.size() + 1);
    std::vector<GpkgField::Type> types;
    for (const PlainTable::Column& column : table.columns)
        types.push_back(column.type);
    write_csvt(path, types);
    return neutralised;
}

void add_plain_layer(GpkgFile& file, const std::string& name, const PlainTable& table)
{
    std::vector<GpkgField> fields;
    for (const PlainTable::Column& column : table.columns)
        fields.push_back({column.name, column.type});
    file.begin_layer(name, GpkgFile::Shape::multipolygon, fields);
    for (const PlainTable::Row& row : table.rows)
        file.add_row(row.values, row.wkb);
}

} // namespace fuelring
