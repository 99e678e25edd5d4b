// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "buildings.hpp"
#include "community.hpp"
#include "layout.hpp"
#include "tools/random.hpp"

namespace community {

/// What the makers of Tamarack Bend share while they work.
struct Town {
    explicit Town(std::uint64_t seed);

    Community made;
    Rng rng;
    HouseNumbers house_numbers;
    StructureNumbers structure_numbers;
    std::vector<Lot> lots;

    Spine bend_road; ///< the main road, and the spine of the old town
    Spine kestrel_lane;
    Spine thimble_court;
    Spine ferry_road;
    Spine alder_lane;
};

inline constexpr double town_wander_m = 8;

/// Streets, lots, houses and gardens.
void settle(Town& town);

/// School, hall, shops, farm, and the outlines that test a reader: a needle, a crossed one, a
/// repeated one; addresses that lie nowhere.
void add_landmarks(Town& town);

/// Neighbourhoods, municipal and crown ground, the strips treated within two years, the gap in the
/// imagery.
void draw_boundaries(Town& town);

} // namespace community
