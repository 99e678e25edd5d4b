// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/arrangement.hpp"
#include "geometry/piece.hpp"

#include <fuelring/outline.hpp>

#include <cstdint>
#include <vector>

namespace fuelring {

/// A piece of the outline of one of several regions, made ready to be cut.
struct Track : Curve { ///< base: start of a line
    Piece piece;
    std::uint32_t owner = 0; ///< pieces of one owner meet at their ends only
    UnitCircle circle;       ///< of an arc

    /// Requires: a piece that has a length.
    Track(const Piece& piece, std::uint32_t owner);
};

/// All cuts of tracks of different owners at each other, sorted by track and parameter. Lines are
/// cut by lines and by arcs of any ellipses; where two run over each other, they are cut at each
/// other's ends. Touching is not crossing.
std::vector<Cut> cuts_of_tracks(const std::vector<Track>& tracks);

} // namespace fuelring
