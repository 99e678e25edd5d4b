// SPDX-License-Identifier: Apache-2.0
#include "io/report_data/public_table_out.hpp"

#include "io/tables/plain_table.hpp"

#include <fmt/format.h>

namespace fuelring {

void write_public_neighbourhoods(const std::filesystem::path& path, const RunPicture& picture,
                                 const std::vector<NeighbourhoodFigures>& rows, bool bom)
{
    using Type = GpkgField::Type;
    PlainTable table;
    const auto add = [&table](std::string name, Type type) {
        const int decimals = type == Type::real ? decimals_of(name) : 0;
        table.columns.push_back({std::move(name), type, decimals});
    };
    add("rank", Type::integer);
    add("neighbourhood", Type::text);
    add("structures", Type::integer);
    add("structures_measured", Type::integer);
    add(fmt::format("structures_known_within_{}m", picture.near_m), Type::integer);
    add(fmt::format("structures_conifer_within_{}m", picture.near_m), Type::integer);
    add("mean_exposure", Type::real);
    for (const double outer : picture.rings.outer_m)
        add(fmt::format("conifer_ha_within_{}m", outer), Type::real);
    for (const NeighbourhoodFigures& row : rows) {
        RowValues values;
        values.count(row.rank).text(row.name).count(row.structures);
        values.count(row.measured).count(row.known_near).count(row.near);
        values.number(row.mean_exposure);
        for (std::size_t k = 0; k < picture.rings.outer_m.size(); ++k)
            values.number(k < row.conifer_ha_within.size() ? row.conifer_ha_within[k]
                                                           : std::nullopt);
        table.rows.push_back({values.take(), {}});
    }
    write_plain_csv(path, table, bom);
}

} // namespace fuelring
