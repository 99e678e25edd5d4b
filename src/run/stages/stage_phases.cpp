// SPDX-License-Identifier: Apache-2.0
#include "run/stages/stage_phases.hpp"

#include <algorithm>
#include <utility>

namespace fuelring {

namespace {

std::int64_t structures_of(const Community& community)
{
    return std::ssize(community.structures);
}

} // namespace

std::int64_t work_of_map(std::int64_t draws, const Community& community)
{
    return (work_of::measure + work_of::unite + work_of::draw * draws + work_of::spread +
            work_of::publish) *
               structures_of(community) +
           2 * work_of::write_row * (structures_of(community) + std::ssize(community.addresses));
}

std::int64_t work_of_plan(const Community& community)
{
    return (work_of::choose + work_of::measure_treated) * structures_of(community);
}

std::int64_t work_of_appraisal(const Community& community)
{
    return (work_of::measure + work_of::spread + work_of::unite) * structures_of(community);
}

Phase of_structures(std::string doing, const TileIndex& index, std::int64_t work)
{
    std::int64_t count = 0;
    for (const TileIndex::Tile& tile : index.tiles())
        count += static_cast<std::int64_t>(tile.count);
    return {std::move(doing), "structures", count, work * count};
}

Phase surface_phase(std::int64_t blocks, std::int64_t of, const Community& community)
{
    return {"computing the surface,", "blocks", blocks,
            work_of::spread * structures_of(community) * blocks / std::max<std::int64_t>(of, 1)};
}

Phase choosing(const Community& community)
{
    // Passes over the blocks, of which a usual plan takes so many; with limits and years it is
    // more.
    constexpr std::int64_t passes = 100;
    return {.doing = "choosing what to treat",
            .count = passes,
            .work = work_of::choose * structures_of(community)};
}

Phase publishing(const Community& community)
{
    return {.doing = "publishing", .work = work_of::publish * structures_of(community)};
}

} // namespace fuelring
