// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/cividis.hpp"
#include "report/print/map_view.hpp"
#include "report/print/still_map.hpp"

#include <string>

namespace fuelring::report {

/// Size of the print beside and on a still map.
inline constexpr double map_print_pt = 8.5;
/// Dashes around a white building that is not measured.
inline constexpr double unmeasured_dash_pt = 1.2;

/// Colour of a class of exposure.
Colour colour_of_class(std::size_t exposure_class);

/// True where the map is of that neighbourhood, or of all.
bool is_on_map(const StillMap& map, const std::string& neighbourhood);

/// What stands beside a still map: what its colours mean, then the neighbourhoods by their figures;
/// those that have no room are counted.
void draw_map_panel(cairo_t* cr, const PageBox& box, const StillMap& map, const SheetText& text,
                    TextSetter& setter);

} // namespace fuelring::report
