// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "coverage/gather.hpp"

#include <fuelring/measure.hpp>

#include <span>

namespace fuelring {

/// Rings from the integrals over nested outlines; `within` belongs to outlines.within.
StructureMeasure rings_between(std::span<const coverage::Integral> within,
                               const RingOutlines& outlines, const Grid& grid);

} // namespace fuelring
