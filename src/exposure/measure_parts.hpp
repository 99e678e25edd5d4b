// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "coverage/gather.hpp"

#include <fuelring/measure.hpp>

#include <span>

namespace fuelring {

/// What `measure` returns, from the integrals over the nested outlines: within[k] is that over
/// outlines.within[k].
StructureMeasure measure_from(std::span<const coverage::Integral> within,
                              const Footprint& footprint, const RingOutlines& outlines,
                              const CellFrame& frame, const Grid& grid, const FuelWindow& fuel,
                              const RingPlan& plan);

} // namespace fuelring
