// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/offset/raw_pieces.hpp"

namespace fuelring {

/// All cuts of raw pieces at each other, sorted by piece and parameter (geometry/arrangement.hpp).
/// `edges` are those that the pieces were made of. Pieces that meet at a corner by construction are
/// not cut there.
template <typename Body>
std::vector<Cut> cuts_at_crossings(const std::vector<RawPiece>& pieces,
                                   const std::vector<Edge>& edges, const Body& body);

} // namespace fuelring
