// SPDX-License-Identifier: Apache-2.0

// Which parts of a piece can be left out at once: those that one structure covers from one point of
// its wall. Long arcs are asked about by halves, where some structure is near at all.
#include "geometry/dissolve/neighbour_cover.hpp"

#include "geometry/offset/body.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace fuelring {
namespace {

/// Arcs longer than this are halved where a structure near by may cover a part of them.
constexpr double short_arc = 0.3;
/// Arcs longer than this are halved before anything is asked: their tangents meet far away.
constexpr double long_arc = 1.6;
/// The part [t0, t1] of an arc.
Piece part_of_arc(const Piece& arc, double t0, double t1)
{
    return arc.part(t0, t0 == arc.t0 ? arc.start : arc.at(t0), t1,
                    t1 == arc.t1 ? arc.end : arc.at(t1));
}

/// Points whose convex hull holds a piece: its ends and, of an arc, where the tangents there meet.
/// On the unit circle tangents half an angle h from the middle meet at 1 / cos h from the centre.
std::array<Point, 3> hull_of(const Piece& piece, Point middle)
{
    if (!piece.arc)
        return {piece.start, piece.end, middle};
    const double half = std::min(piece.t1 - piece.t0, long_arc) / 2;
    return {piece.start, piece.end, piece.centre + (1 / std::cos(half)) * (middle - piece.centre)};
}

} // namespace

Ball ball_of(const Piece& piece)
{
    if (!piece.arc) {
        return {0.5 * (piece.start + piece.end), (piece.end - piece.start).length() / 2};
    }
    const double half = (piece.t1 - piece.t0) / 2;
    return {piece.at(piece.t0 + half),
            half * std::sqrt(std::max(dot(piece.u, piece.u), dot(piece.v, piece.v)))};
}

NeighbourCover::NeighbourCover(const StructureIndex& members, std::size_t i,
                               std::span<const std::uint32_t> before, double r_m, bool stretched)
{
    others_.reserve(before.size());
    for (const std::uint32_t j : before) {
        const FrameMap map = members.map(i, j);
        others_.push_back({members.body(j, r_m, stretched), map});
    }
}

template <typename Test>
bool NeighbourCover::any(Test&& test)
{
    if (last_ >= first_ && last_ < others_.size() && test(others_[last_]))
        return true;
    for (std::size_t k = first_; k < others_.size(); ++k)
        if (k != last_ && test(others_[k])) {
            last_ = k;
            return true;
        }
    return false;
}

bool NeighbourCover::inside_one(Point p)
{
    first_ = 0;
    return any([&](const Before& b) { return b.body.side_of(b.map(p)) == Side::inside; });
}

bool NeighbourCover::append_uncovered(const Piece& piece, const Ball& ball, std::size_t first,
                                      std::vector<Piece>& to)
{
    first_ = first;
    whole_ = &piece;
    open_ = false;
    complete_ = true;
    halve(piece, ball, to);
    return complete_;
}

void NeighbourCover::halve(const Piece& part, const Ball& ball, std::vector<Piece>& to)
{
    const double turn = part.arc ? part.t1 - part.t0 : 0;
    const std::array<Point, 3> hull = hull_of(part, ball.middle);
    bool is_near = false;
    const bool covered = any([&](const Before& b) {
        const Point middle = b.map(ball.middle);
        if (!b.body.may_meet(middle, ball.radius_m * b.map.most_stretch()))
            return false;
        is_near = true;
        const std::array seen{b.map(hull[0]), b.map(hull[1]), b.map(hull[2])};
        return turn <= long_arc && b.body.covers(middle, seen);
    });
    // Parts that follow each other become one again, so that halving leaves no seams.
    if (covered) {
        open_ = complete_ = false;
    } else if (is_near && turn > short_arc) {
        const double half_way = (part.t0 + part.t1) / 2;
        for (const Piece& half :
             {part_of_arc(part, part.t0, half_way), part_of_arc(part, half_way, part.t1)})
            halve(half, ball_of(half), to);
    } else if (open_) { // goes on where the last one ended
        to.back() = part_of_arc(*whole_, to.back().t0, part.t1);
    } else {
        to.push_back(part.arc ? part_of_arc(*whole_, part.t0, part.t1) : part);
        open_ = true;
    }
}

} // namespace fuelring
