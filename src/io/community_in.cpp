// SPDX-License-Identifier: Apache-2.0
#include "io/community_in.hpp"

#include "io/community_parts.hpp"

namespace fuelring {

Community read_community(const CommunitySources& sources, const AnalysisGrid& analysis,
                         Warnings& warnings, std::vector<std::string>* crs_notes)
{
    const Remarks remarks{warnings, crs_notes};
    Community community;
    community.structures = read_structures(sources.structures, analysis, remarks);
    if (sources.addresses)
        community.addresses =
            read_addresses(*sources.addresses, community.structures, analysis, remarks);
    if (sources.neighbourhoods)
        read_neighbourhoods(*sources.neighbourhoods, community, analysis, remarks);
    if (sources.parcels)
        community.owners = read_parcels(*sources.parcels, community.structures, analysis, remarks);
    return community;
}

} // namespace fuelring
