// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/outline.hpp>

namespace fuelring {

/// Makes ends within same_place_m of each other one point, bit for bit, drops pieces that shrink
/// to a point, takes identical pieces once and lets a line that is there in both directions cancel.
/// Returns whether the pieces close: every node has as many pieces in as out.
/// Requires: nodes that are to stay apart are further apart than same_place_m.
bool weld(std::vector<Piece>& pieces);

} // namespace fuelring
