// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/print/map_view.hpp"
#include "report/print/still_map.hpp"
#include "report/surface_image.hpp"

#include <string>

namespace fuelring::report {

/// Size of the print on a still map and next to it.
inline constexpr double map_print_pt = 8.5;
/// Dashes around a white building that is not measured.
inline constexpr double unmeasured_dash_pt = 1.2;

/// True where the map is of that neighbourhood (a name of the run, empty outside all), or of all.
bool is_on_map(const StillMap& map, const std::string& neighbourhood);

/// The panel next to a still map: what its colours mean, then the neighbourhoods by their figures;
/// those that have no room are counted. A public panel has neither counts of buildings by class nor
/// what is not measured.
/// Fits `box`: what is too long is cut by an ellipsis.
void draw_map_panel(cairo_t* cr, const PageBox& box, const StillMap& map, const SheetText& text,
                    TextSetter& setter);

} // namespace fuelring::report
