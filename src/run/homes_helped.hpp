// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/community.hpp"
#include "run/treated_fuel.hpp"

#include <fuelring/measure.hpp>

#include <cstdint>
#include <vector>

namespace fuelring {

struct HomesHelped {
    std::vector<std::int64_t> by_unit;
    std::int64_t by_any = 0; ///< each home once
};

/// Structures that each unit helps: those with an exposure whose rings, out to the last that has a
/// weight and is mapped, cover part of a treated cell of the unit. `measures` are those
/// before treatment.
HomesHelped homes_helped(const Community& community, const Grid& grid, const RingPlan& plan,
                         const std::vector<StructureMeasure>& measures, const TreatedFuel& treated,
                         std::size_t units, int jobs);

} // namespace fuelring
