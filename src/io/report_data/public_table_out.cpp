// SPDX-License-Identifier: Apache-2.0

// The public table has the columns of neighbourhoods.csv that do not ask for `office`, so a name
// means the same in both. Only figures that may be shown are copied into its rows.
#include "io/report_data/public_table_out.hpp"

#include "io/tables/csv_table.hpp"
#include "io/tables/neighbourhood_table.hpp"

namespace fuelring {

void write_public_neighbourhoods(const std::filesystem::path& path, const RunPicture& picture,
                                 const std::vector<NeighbourhoodFigures>& rows, bool bom)
{
    RunLabels labels{picture.rings, picture.near_m};
    labels.office.clear();
    const auto row = [&rows](std::size_t k) {
        const NeighbourhoodFigures& from = rows[k];
        Neighbourhood to;
        to.name = from.name;
        to.rank = from.rank;
        to.structures = from.structures;
        to.structures_measured = from.measured;
        to.structures_known_near = from.known_near;
        to.structures_near = from.near;
        to.mean_exposure = from.mean_exposure;
        to.conifer_ha_within = from.conifer_ha_within;
        return to;
    };
    write_csv(path, neighbourhood_columns(labels), rows.size(), row, bom);
}

} // namespace fuelring
