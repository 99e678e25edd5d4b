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

/// Roots in [t0, t1] of a0 + a1 cos t + b1 sin t + a2 cos 2t + b2 sin 2t, rising; none where the
/// curve only touches 0. At most four a turn.
struct TrigPolynomial {
    double a0 = 0, a1 = 0, b1 = 0, a2 = 0, b2 = 0;

    double operator()(double t) const;
    double slope(double t) const;
};
void roots(const TrigPolynomial& f, double t0, double t1, std::vector<double>& found);

} // namespace fuelring
