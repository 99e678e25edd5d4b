// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/print/home_sheet.hpp"

namespace fuelring::report {

/// Draws the plan of a home into a box, with everything up to `widest_m` from its wall in it: what
/// grows there, buildings, parcel lines, thin lines at the distances with their metres, a scale bar
/// and north. Lines too close to each other to tell apart on paper are left out,
/// and labels that would cover another. `size_pt`: height of the print.
/// Requires: the home has a wall, or a line within `widest_m`.
void draw_home_plan(cairo_t* cr, const PageBox& box, const HomePlan& plan, double widest_m,
                    const SheetText& text, TextSetter& setter, double size_pt);

/// What the signs of a plan mean, side by side; gives the height that it takes. Draws nothing
/// where `cr` is null, but measures: the same call with a context then takes as much room. Of `box`
/// the height is not read. Neighbours, unmapped ground and parcels have no sign where the
/// plan has none.
double draw_plan_legend(cairo_t* cr, const HomePlan& plan, const PageBox& box,
                        const SheetText& text, TextSetter& setter, double size_pt);

} // namespace fuelring::report
