// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/community.hpp"
#include "geometry/dissolve/incremental_union.hpp"

#include <fuelring/grid.hpp>
#include <fuelring/measure.hpp>

#include <deque>

namespace fuelring {

/// The structures of a community as their union takes them, in groups by neighbourhood; the last
/// group is of those outside. Refers to the community, which must outlive it.
StructureIndex union_members(const Community& community, const Grid& grid);

/// What each structure adds, by distance: [0] of roofs, [k] within outer_m[k - 1]. For one thread;
/// refers to `members`.
std::deque<IncrementalUnion> regions_within(const StructureIndex& members, const RingPlan& plan);

} // namespace fuelring
