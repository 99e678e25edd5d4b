// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/print/still_map.hpp"

namespace fuelring::report {

/// Draws one landscape page for those who decide: the community in a sentence, its map, the five
/// neighbourhoods of the highest mean exposure (of buildings by exposure where there are none),
/// what a plan does with more or less money with the one that was made marked, what the figures do
/// not say, and the dates of the imagery. Every figure is one of the run's tables. A public one
/// shows what a public map does. `map.only` is empty. Ends no page. Throws: std::logic_error for a
/// word that the template lacks; Error{input} for a column that the run lacks.
void draw_brief(cairo_t* cr, Paper paper, const StillMap& map, const SheetText& text,
                TextSetter& setter);

} // namespace fuelring::report
