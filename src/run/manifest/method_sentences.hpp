// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/inputs/inputs.hpp"

#include <cstdint>
#include <string>

namespace fuelring {

/// What the method notes of several commands say alike, a sentence or two each.

/// "Exposure was measured around 272 of 305 buildings (those with ...), smaller ones than 10 m²
/// left out", without the full stop.
std::string buildings_part(const Config& config, std::int64_t measured, std::int64_t all);
/// Distances and weights.
std::string rings_sentence(const RingPlan& rings);
/// The date of the imagery, and how many cells visits corrected.
std::string map_sentence(const Inputs& inputs, const Config& config);

} // namespace fuelring
