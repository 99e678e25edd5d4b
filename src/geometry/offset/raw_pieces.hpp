// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/arrangement.hpp"
#include "geometry/offset/edge_index.hpp"
#include "geometry/offset/edges.hpp"

namespace fuelring {

/// A moved edge or an arc about a convex corner, before it is cut.
struct RawPiece : Curve {       ///< base: start of the moved edge before trimming
    std::uint32_t in = 0;       ///< the edge; of an arc the edge that enters its corner
    std::uint32_t out = 0;      ///< the edge; of an arc the edge that leaves its corner
    Half half = Half::downhill; ///< of the body, on which the arc lies
};

/// The pieces that can carry the boundary: moved edges trimmed at reflex corners, arcs at convex
/// ones, without those that lie as a whole nearer than r to some edge.
/// Law: the boundary of the swept footprint is a part of their union; in the order of edges.
template <typename Body>
std::vector<RawPiece> raw_pieces(const std::vector<Edge>& edges, const Body& body,
                                 EdgeIndex<Body>& index);

} // namespace fuelring
