// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/outline.hpp>

namespace fuelring {

/// outline_within of a footprint that was found to keep its law: the rings of one footprint ask
/// once. Throws: as outline_within, but of the footprint nothing.
Outline outline_of_valid(const Footprint& footprint, double r_m, const RingStretch& stretch);

} // namespace fuelring
