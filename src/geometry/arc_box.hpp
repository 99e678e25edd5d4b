// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/outline.hpp>

namespace fuelring {

/// Widens a box that holds the ends of an arc until it holds the arc.
void widen(Box& box, const Piece& arc);

} // namespace fuelring
