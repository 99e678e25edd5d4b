// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/offset/crossings.hpp"

namespace fuelring {

/// The stretches between cuts that lie on the boundary: no edge is nearer than r to their middle,
/// and the middle is not inside the footprint.
template <typename Body>
std::vector<Piece> stretches_on_boundary(const std::vector<RawPiece>& pieces,
                                         const std::vector<Cut>& cuts, EdgeIndex<Body>& index,
                                         const Body& body);

} // namespace fuelring
