// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/arrangement.hpp"

#include <fuelring/outline.hpp>

#include <cstdint>
#include <vector>

namespace fuelring {

/// A piece of the outline of one of several regions, made ready to be cut.
struct Track : Curve {
    Piece piece;
    std::uint32_t owner = 0; ///< pieces of one owner meet at their ends only
    Point direction;         ///< of a line: unit vector

    Track(const Piece& piece, std::uint32_t owner);
    /// The point at a parameter.
    Point at(double t) const;
};

/// All cuts of tracks of different owners at each other, sorted by track and parameter. Lines are
/// cut by lines and by arcs of any ellipses; where two run over each other, they are cut at each
/// other's ends. Touching is not crossing.
std::vector<Cut> cuts_of_tracks(const std::vector<Track>& tracks);

} // namespace fuelring
