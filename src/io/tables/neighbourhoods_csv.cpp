// SPDX-License-Identifier: Apache-2.0
#include "base/program/csv_writer.hpp"
#include "base/program/durable_file.hpp"
#include "io/tables/csvt.hpp"
#include "io/tables/neighbourhood_columns.hpp"

#include <fuelring/error.hpp>

namespace fuelring {

std::int64_t write_neighbourhoods_csv(const std::filesystem::path& path, const RunTables& tables,
                                      bool bom)
{
    const std::vector<NeighbourhoodColumn> columns = neighbourhood_columns(tables);
    std::string text{bom ? utf8_mark : std::string_view{}};
    for (std::size_t k = 0; k < columns.size(); ++k)
        text.append(k == 0 ? "" : ",").append(columns[k].name);
    text += csv_line_end;
    std::int64_t neutralised = 0;
    for (std::size_t place = 0; place < tables.neighbourhoods.size(); ++place) {
        const std::vector<double> numbers = neighbourhood_numbers(tables, place);
        for (std::size_t k = 0; k < columns.size(); ++k) {
            if (k > 0)
                text += ',';
            if (columns[k].kind == NeighbourhoodColumn::Kind::name)
                neutralised += append_text_cell(text, tables.neighbourhoods[place].name) ? 1 : 0;
            else
                append_number(text, numbers[k], columns[k].decimals);
        }
        text += csv_line_end;
    }
    write_durably(path, text);
    require_csv_records(path, tables.neighbourhoods.size() + 1);
    using Kind = NeighbourhoodColumn::Kind;
    std::vector<GpkgField::Type> types;
    for (const NeighbourhoodColumn& column : columns)
        types.push_back(column.kind == Kind::name      ? GpkgField::Type::text
                        : column.kind == Kind::integer ? GpkgField::Type::integer
                                                       : GpkgField::Type::real);
    write_csvt(path, types);
    return neutralised;
}

} // namespace fuelring
