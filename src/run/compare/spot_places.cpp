// SPDX-License-Identifier: Apache-2.0
#include "run/compare/spot_places.hpp"

#include "exposure/ownership.hpp"

#include <algorithm>

namespace fuelring {

namespace {

/// Everything within the widest distance, in units of the grid.
std::vector<Box> reach_of_members(const ChangeContext& context)
{
    std::vector<Box> boxes;
    for (const Structure& s : context.members.structures) {
        const Box of = bounds(s.footprint);
        const Box by = reach_around(context.rings.plan.widest_m(), s.stretch);
        boxes.push_back(FrameOnGrid{s.frame, s.map_scale, context.grid()}.to_grid(
            Box{of.min + by.min, of.max + by.max}));
    }
    return boxes;
}

} // namespace

SpotPlaces::SpotPlaces(const ChangeContext& context, const StructureIndex& members)
    : context_(context), members_(members), boxes_{reach_of_members(context)}
{}

SpotPlace SpotPlaces::place_of(Point on_grid) const
{
    const std::vector<double>& outer_m = context_.rings.plan.outer_m;
    SpotPlace place;
    for (const std::size_t i : boxes_.meeting({on_grid, on_grid})) {
        const Structure& s = context_.members.structures[i];
        const Point local = FrameOnGrid{s.frame, s.map_scale, context_.grid()}.to_local(on_grid);
        std::size_t ring = 0;
        for (; ring <= outer_m.size(); ++ring) {
            const double r_m = ring == 0 ? 0 : outer_m[ring - 1];
            const bool stretched = ring > 0 && context_.rings.stretch[ring - 1];
            if (members_.body(i, r_m, stretched).side_of(local) != Side::outside)
                break;
        }
        if (ring > outer_m.size())
            continue;
        place.ring = std::min(place.ring.value_or(ring), ring);
        const auto of_group = place.ring_of_group.try_emplace(context_.group[i], ring).first;
        of_group->second = std::min(of_group->second, ring);
    }
    return place;
}

} // namespace fuelring
