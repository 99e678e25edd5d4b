// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/gain_classes.hpp"

#include <string>
#include <vector>

namespace fuelring {

/// How a desktop GIS draws the rasters of a run, as a QML to lie beside each under its name.

/// priority.tif in its classes of gain, in the page's colours and words; ground without a figure
/// in grey, ground where clearing saves nothing left clear. `cell_m2`: ground of a cell.
/// Law: every cell has the class that it has on the page. No class: a surface of nothing.
std::string surface_style(const std::vector<GainClass>& gain, double cell_m2);

/// Band 1 of fuel_used.tif: conifers in greys, the darker the denser; unmapped ground in the
/// hatch's grey.
std::string fuel_style();

/// Band 1 of change.tif: what was removed, what grew again, what stayed.
std::string change_style();

} // namespace fuelring
