// SPDX-License-Identifier: Apache-2.0
#include "io/community_in.hpp"

#include "io/community_parts.hpp"

namespace fuelring {

Community read_community(const CommunitySources& sources, const Grid& grid, const Crs& crs,
                         Warnings& warnings, std::vector<std::string>* crs_notes)
{
    const Remarks remarks{warnings, crs_notes};
    Community community;
    community.structures = read_structures(sources.structures, grid, crs, remarks);
    if (sources.addresses)
        community.addresses =
            read_addresses(*sources.addresses, community.structures, grid, crs, remarks);
    if (sources.neighbourhoods)
        community.neighbourhoods =
            read_neighbourhoods(*sources.neighbourhoods, community.structures, grid, crs, remarks);
    return community;
}

} // namespace fuelring
