// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "coverage/gather.hpp"

#include <fuelring/measure.hpp>

#include <span>
#include <vector>

namespace fuelring {

/// Areas of nested outlines, in square metres.
/// Shape: the footprint, then one for each distance.
std::vector<double> areas_within(const RingOutlines& outlines);

/// The integral over each of nested outlines.
/// Throws: std::invalid_argument where the widest leaves the window.
std::vector<coverage::Integral> integrals_within(const RingOutlines& outlines,
                                                 const CellFrame& frame, const Grid& grid,
                                                 const FuelWindow& fuel);

/// Rings from the integrals over nested outlines and their areas. Shape: as many areas as
/// integrals, one more than rings. Law: no area of a ring is below 0, and none of conifer above
/// mapped_m2.
StructureMeasure rings_between(std::span<const coverage::Integral> within,
                               std::span<const double> areas_m2, const Grid& grid);

/// What `measure` returns, from the integrals over the nested outlines: within[k] is that over
/// outlines.within[k].
StructureMeasure measure_from(std::span<const coverage::Integral> within,
                              const Footprint& footprint, const RingOutlines& outlines,
                              const CellFrame& frame, const Grid& grid, const FuelWindow& fuel,
                              const RingPlan& plan);

} // namespace fuelring
