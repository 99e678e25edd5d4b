// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/warnings.hpp"
#include "exposure/community.hpp"

#include <fuelring/measure.hpp>

#include <optional>

namespace fuelring {

/// The warning `coarse_cells` where cells are larger on the ground than a ring is wide: it names
/// the size of the cells and the rings, whose figures are below the resolution of the data. The
/// count is that of the structures concerned: map scales differ from place to place. Depends on
/// the structures, the grid and the rings alone.
std::optional<Warning> coarse_cells_warning(const Community& community, const Grid& grid,
                                            const RingPlan& plan);

} // namespace fuelring
