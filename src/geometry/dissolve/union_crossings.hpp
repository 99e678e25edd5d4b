// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/outline.hpp>

#include <cstdint>
#include <vector>

namespace fuelring {

/// A piece of the outline of one of several regions, made ready to be cut.
struct Track {
    Piece piece;
    std::uint32_t owner = 0; ///< pieces of one owner meet at their ends only
    Box box;
    Point direction; ///< of a line: unit vector
    double t0 = 0;   ///< of a line: 0 and its length in metres; of an arc: parameters
    double t1 = 0;

    Track(const Piece& piece, std::uint32_t owner);
    /// The point at a parameter.
    Point at(double t) const;
};

/// Where a track is to be cut. The two tracks of a crossing get the same point.
struct TrackCut {
    std::uint32_t track = 0;
    double t = 0;
    Point point;
};

/// All cuts of tracks of different owners at each other, sorted by track and parameter. Lines are
/// cut by lines and by arcs of any ellipses; where two run over each other, they are cut at each
/// other's ends. Touching is not crossing.
std::vector<TrackCut> cuts_of_tracks(const std::vector<Track>& tracks);

} // namespace fuelring
