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

bool NeighbourCover::inside_one(Point p)
{
    const auto is_inside = [&](const Before& b) {
        return b.body.side_of(b.map(p)) == Side::inside;
    };
    if (last_ < others_.size() && is_inside(others_[last_]))
        return true;
    for (std::size_t k = 0; k < others_.size(); ++k)
        if (k != last_ && is_inside(others_[k])) {
            last_ = k;
            return true;
        }
    return false;
}

bool NeighbourCover::append_uncovered(const Piece& piece, const Ball& ball, std::size_t first,
                                      std::vector<Piece>& to)
{
    near_.clear();
    for (std::size_t k = first; k < others_.size(); ++k)
        if (may_meet(k, ball))
            near_.push_back(static_cast<std::uint32_t>(k));
    if (near_.empty()) {
        to.push_back(piece);
        return true;
    }
    open_ = false;
    complete_ = true;
    halve(piece, ball, 0, to);
    return complete_;
}

inline bool NeighbourCover::may_meet(std::size_t k, const Ball& ball) const
{
    const Before& b = others_[k];
    return b.body.may_meet(b.map(ball.middle), ball.radius_m * b.map.most_stretch());
}

/// Asks those in near_ from `first` on, the one who covered last in front: that changes no answer.
bool NeighbourCover::is_covered(const Piece& part, Point middle, std::size_t first)
{
    const std::array<Point, 3> hull = hull_of(part, middle);
    for (std::size_t n = first; n < near_.size(); ++n) {
        const Before& b = others_[near_[n]];
        const std::array seen{b.map(hull[0]), b.map(hull[1]), b.map(hull[2])};
        if (b.body.covers(b.map(middle), seen)) {
            std::swap(near_[n], near_[first]);
            last_ = near_[first];
            return true;
        }
    }
    return false;
}

/// `first`: where those begin, in near_, that the ball may meet. The ball of a half lies in that of
/// the whole, so the halves ask fewer and fewer.
void NeighbourCover::halve(const Piece& part, const Ball& ball, std::size_t first,
                           std::vector<Piece>& to)
{
    const double turn = part.arc ? part.t1 - part.t0 : 0;
    const std::size_t end = near_.size();
    // Parts that follow each other become one again, so that halving leaves no seams.
    if (first < end && turn <= long_arc && is_covered(part, ball.middle, first)) {
        open_ = complete_ = false;
    } else if (first < end && turn > short_arc) {
        const double half_way = (part.t0 + part.t1) / 2;
        const Point middle = part.at(half_way);
        for (const Piece& half : {part.part(part.t0, part.start, half_way, middle),
                                  part.part(half_way, middle, part.t1, part.end)}) {
            const Ball of_half = ball_of(half);
            for (std::size_t n = first; n < end; ++n)
                if (may_meet(near_[n], of_half)) {
                    near_.push_back(near_[n]);
                    if (near_[n] == last_)
                        std::swap(near_[end], near_.back());
                }
            halve(half, of_half, end, to);
            near_.resize(end);
        }
    } else if (open_) { // goes on where the last one ended
        to.back().t1 = part.t1;
        to.back().end = part.end;
    } else {
        to.push_back(part);
        open_ = true;
    }
}

} // namespace fuelring
