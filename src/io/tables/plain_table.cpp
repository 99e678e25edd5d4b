// SPDX-License-Identifier: Apache-2.0
#include "io/tables/plain_table.hpp"

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
    CsvTable csv{path, table.columns, bom};
    for (const PlainTable::Row& row : table.rows)
        csv.add_row(row.values);
    return csv.finish();
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
