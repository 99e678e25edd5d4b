// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/schedule/stage_context.hpp"
#include "run/stages/treated_fuel.hpp"

#include <cstddef>
#include <optional>
#include <vector>

namespace fuelring {

/// By structure.
struct TreatedExposures {
    std::vector<std::optional<double>> before;
    std::vector<std::optional<double>> after;
    /// Out to the last that adds to the exposure before; 0: the structure has none.
    std::vector<std::size_t> rings_that_count;
};
/// Exposures of every structure as `context` has its fuel, and as `treated` leaves it. Nothing is
/// reused. Law: both sides are those of measure_structures on either raster, to the last bit, where
/// figures are not divided by owner.
TreatedExposures measure_treatment(const StageContext& context, const TreatedFuel& treated);

} // namespace fuelring
