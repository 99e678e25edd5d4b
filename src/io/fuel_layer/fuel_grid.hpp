// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "io/georeference/analysis_grid.hpp"

#include <fuelring/footprint.hpp>

namespace fuelring {

/// The grid that polygons in `crs` within `extent` are burnt into: cells of source.cell_m whose
/// edges lie on whole multiples of it, so that they stay where they are when polygons are added.
/// It stands in the layer's own system where distances there are true or can be scaled, else in a
/// local transverse Mercator around the structures. Never warped.
/// Unit of `extent`: that of `crs`. Throws: as plan_analysis; Error{input} naming the layer for
/// more cells than are read.
AnalysisPlan plan_fuel_grid(const FuelSource& source, const Crs& crs, const Box& extent,
                            const StudyArea& study);

} // namespace fuelring
