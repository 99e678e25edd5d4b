// SPDX-License-Identifier: Apache-2.0

// Structures come first: whatever else is read joins them. Where they fail, the other layers are
// looked at alone, so that one run tells all that is wrong; where they stand, each other layer is
// tried though another failed (a remote one only while nothing is wrong).
#include "io/community/community_in.hpp"

#include "io/community/community_parts.hpp"

#include <iterator>
#include <utility>

namespace fuelring {

namespace {

/// Addresses join what stood there when they were given: those of structures that are gone go with
/// them, and not to a neighbour.
void read_addresses_of(Community& community, std::vector<Structure> gone,
                       const CommunitySources& sources, const AnalysisGrid& analysis,
                       const Remarks& remarks)
{
    std::vector<Structure>& structures = community.structures;
    const std::size_t there = structures.size();
    std::move(gone.begin(), gone.end(), std::back_inserter(structures));
    community.addresses = read_addresses(*sources.addresses, structures, analysis, remarks);
    structures.erase(structures.begin() + static_cast<std::ptrdiff_t>(there), structures.end());
    const std::size_t without = std::erase_if(community.addresses, [there](const Address& a) {
        return a.structure && *a.structure >= there;
    });
    if (sources.gone)
        sources.gone->addresses = static_cast<std::int64_t>(without);
}

} // namespace

Community read_community(const CommunitySources& sources, const AnalysisGrid& analysis,
                         Warnings& warnings, std::vector<LayerCrs>* layers)
{
    FaultList faults;
    Community community = read_community(sources, analysis, warnings, layers, faults);
    faults.raise();
    return community;
}

Community read_community(const CommunitySources& sources, const AnalysisGrid& analysis,
                         Warnings& warnings, std::vector<LayerCrs>* layers, FaultList& faults)
{
    const Remarks remarks{warnings, layers};
    Community community;
    std::vector<Structure> gone;
    if (!faults.attempt([&] {
            community.structures =
                read_structures(sources.structures, analysis, remarks, sources.gone, gone);
        })) {
        look_at_other_layers(sources, std::nullopt, faults);
        return community;
    }
    community.tells_homes = !sources.structures.homes.empty();
    community.tells_people = !sources.structures.people.empty();
    if (sources.addresses)
        attempt_layer(sources.addresses->path, faults, [&] {
            read_addresses_of(community, std::move(gone), sources, analysis, remarks);
        });
    if (sources.neighbourhoods)
        attempt_layer(sources.neighbourhoods->path, faults, [&] {
            read_neighbourhoods(*sources.neighbourhoods, community, analysis, remarks);
        });
    if (sources.parcels)
        attempt_layer(sources.parcels->path, faults, [&] {
            community.owners =
                read_parcels(*sources.parcels, community.structures, analysis, remarks);
        });
    return community;
}

} // namespace fuelring
