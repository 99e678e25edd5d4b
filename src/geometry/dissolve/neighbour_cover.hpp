// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/dissolve/structure_index.hpp"

#include <cstdint>
#include <span>
#include <vector>

namespace fuelring {

/// A disc, by its middle.
struct Ball {
    Point middle;
    double radius_m = 0;
};

/// The ball about the middle of a piece that holds all of it.
/// The way along the curve from its middle is no shorter than the straight one.
Ball ball_of(const Piece& piece);

/// The structures before one, asked about points and pieces in its frame. Remembers who covered
/// the last thing, since it often covers the next one too; that changes no answer.
class NeighbourCover {
public:
    /// `members` must outlive this. `before`: numbers of members, none of them i.
    NeighbourCover(const StructureIndex& members, std::size_t i,
                   std::span<const std::uint32_t> before, double r_m, bool stretched);

    /// Is p inside everything within r of one of them?
    bool inside_one(Point p);

    /// Appends the parts of a piece that no single structure is seen to cover, of those from the
    /// `first` on; `ball` holds the piece. True for all of it.
    /// Law: what is left out lies inside one of them; what stays may be covered, too, by several.
    bool append_uncovered(const Piece& piece, const Ball& ball, std::size_t first,
                          std::vector<Piece>& to);

private:
    struct Before {
        ParallelBody body;
        FrameMap map;
    };
    bool may_meet(std::size_t k, const Ball& ball) const;
    bool is_covered(const Piece& part, Point middle, std::size_t first);
    void halve(const Piece& part, const Ball& ball, std::size_t first, std::vector<Piece>& to);

    std::vector<Before> others_;
    std::vector<std::uint32_t> near_; ///< numbers in others_: a stack, a stretch for each part
    std::size_t last_ = 0;            ///< who covered the last thing
    bool open_ = false;               ///< the part appended last ends where the next one begins
    bool complete_ = true;
};

} // namespace fuelring
