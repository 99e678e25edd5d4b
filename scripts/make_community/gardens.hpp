// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "buildings.hpp"

namespace community {

/// Lawn, drive, hedges, shrubs and trees of a lot with a house.
void plant_garden(const Lot& lot, const Homestead& home, const Manner& manner, Rng& rng,
                  Community& community);

/// Crowns scattered over an area, `spacing_m` apart on average.
void scatter_crowns(const Ring& area, double spacing_m, double conifer_share, Rng& rng,
                    Community& community);

/// Street trees along a line beside a spine.
void plant_avenue(const Spine& spine, double from, double to, double beside_m, Rng& rng,
                  Community& community);

} // namespace community
