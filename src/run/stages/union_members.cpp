// SPDX-License-Identifier: Apache-2.0
#include "run/stages/union_members.hpp"

#include <memory>

namespace fuelring {

StructureIndex union_members(const Community& community, const Grid& grid)
{
    std::vector<IndexedStructure> members;
    members.reserve(community.structures.size());
    // Structures outside all neighbourhoods form a group of their own, as in the table.
    const std::size_t outside = community.neighbourhoods.size();
    for (const Structure& s : community.structures)
        members.push_back({&s.footprint,
                           {{static_cast<double>(s.frame.col), -static_cast<double>(s.frame.row)},
                            {s.map_scale.x, s.map_scale.y}},
                           s.stretch.is_round() ? nullptr : &s.stretch,
                           static_cast<std::uint32_t>(s.neighbourhood.value_or(outside))});
    return {std::move(members), {grid.cell_width_m(), grid.cell_height_m()}};
}

std::deque<IncrementalUnion> regions_within(const StructureIndex& members, const RingPlan& plan)
{
    std::deque<IncrementalUnion> regions;
    const auto neighbours = std::make_shared<EarlierNeighbours>(members, plan.widest_m());
    regions.emplace_back(members, 0.0, false, neighbours);
    for (std::size_t k = 0; k < plan.outer_m.size(); ++k) // the innermost ring is round
        regions.emplace_back(members, plan.outer_m[k], k > 0, neighbours);
    return regions;
}

} // namespace fuelring
