// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/colours/cividis.hpp"

#include <array>
#include <cstddef>
#include <string>

namespace fuelring::report {

/// What a map is drawn on: paper and the light page, or the dark page.
enum class MapGround { light, dark };

/// The colours of every map: the page, the still maps, the public edition and the styles of a
/// desktop GIS draw from this table and no other.
///
/// Exposure of buildings: seven steps of cividis (base/colours/cividis.hpp), away from the ground:
/// from pale to dark on a light one, from dark to pale on a dark one, so that more always stands
/// out more. Gain of ground: five steps of one other hue, the green-blue in the middle of viridis,
/// last class first, away from the ground likewise. Laws (tests/unit/report/map_colours_test.cpp):
/// outline, areas, units, marks and hatch have a contrast of at least 3 to 1 with the ground
/// (WCAG 2.2, 1.4.11), and the outline with its halo; lightness is monotone by class.
struct MapColours {
    Colour ground;
    Colour halo;    ///< around a building, outside its outline: keeps it apart from what is below
    Colour outline; ///< of a building
    std::array<Colour, 7> exposure; ///< by class of exposure (exposure/exposure_classes.hpp)
    std::array<Colour, 5> gain;     ///< by class of gain (exposure/gain_classes.hpp)
    Colour hatch;                   ///< lines over ground that is not mapped
    Colour area;                    ///< outline and name of a neighbourhood
    Colour unit;                    ///< patches to clear
    Colour chosen;                  ///< what was picked
    Colour drawn;                   ///< what a reader draws
    Colour street;                  ///< streets, paths and railways of the town's own, quietly
    Colour water;                   ///< likewise
};

/// The colours for a ground.
const MapColours& map_colours(MapGround ground = MapGround::light);

/// "#rrggbb".
std::string hex_of(const Colour& colour);

/// Relative luminance, 0 to 1. Source: WCAG 2.2, "relative luminance".
double luminance(const Colour& colour);
/// From 1 (none) to 21. Source: WCAG 2.2, "contrast ratio".
double contrast(const Colour& a, const Colour& b);

} // namespace fuelring::report
