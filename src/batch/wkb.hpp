// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/batch.hpp>
#include <fuelring/repair.hpp>

#include <cstddef>
#include <span>
#include <vector>

namespace fuelring::batch {

/// What a feature says of itself before it is repaired.
struct RawFeature {
    FeatureStatus status = FeatureStatus::ok; ///< ok, empty, not_polygons or malformed
    std::vector<RawPolygon> polygons;         ///< in map coordinates; empty unless ok
};

/// Reads well-known binary of untrusted make: every count is held against the bytes that are left.
RawFeature read_wkb(std::span<const std::byte> bytes);

} // namespace fuelring::batch
