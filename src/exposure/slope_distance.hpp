// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/measure.hpp>

#include <algorithm>
#include <cstddef>

namespace fuelring {

/// The ground within this distance of the walls makes a slope: the third distance of the
/// configuration, the widest where there are fewer.
inline double slope_within_m(const RingPlan& plan)
{
    return plan.outer_m[std::min<std::size_t>(2, plan.outer_m.size() - 1)];
}

} // namespace fuelring
