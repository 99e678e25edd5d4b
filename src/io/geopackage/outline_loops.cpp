// SPDX-License-Identifier: Apache-2.0

// Chains the pieces of an outline. From every piece the walk goes on to one that starts where it
// ends; where parts touch in a point there are several, and the one furthest to the left is the
// next of the same part (the region lies to the left). A loop that comes back to a point is cut off
// there, so that every loop is simple: a hole that touches another or its shell is one of its own.
#include "io/geopackage/outline_loops.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>

namespace fuelring {
namespace {

constexpr std::size_t no_piece = std::numeric_limits<std::size_t>::max();
/// Directions at a node are those to points so far along an arc, so that arcs that touch differ.
constexpr double look_ahead = 0.01;

bool before(Point a, Point b)
{
    return a.x != b.x ? a.x < b.x : a.y < b.y;
}

Point leaving(const Piece& p)
{
    return (p.arc ? p.at(p.t0 + std::min(look_ahead, p.t1 - p.t0)) : p.end) - p.start;
}

Point arriving(const Piece& p)
{
    return p.end - (p.arc ? p.at(p.t1 - std::min(look_ahead, p.t1 - p.t0)) : p.start);
}

/// Adds the start of a piece and what lies between its ends.
void append_vertices(const Piece& piece, double chord_m, Loop& loop)
{
    loop.push_back(piece.start);
    if (!piece.arc)
        return;
    const double r_m = std::sqrt(std::max(dot(piece.u, piece.u), dot(piece.v, piece.v)));
    // A chord over an angle a stays r (1 - cos(a / 2)) off its arc: this is the largest a that may
    // be.
    const double step = 2 * std::acos(std::max(1 - chord_m / r_m, 0.0));
    const double turn = piece.t1 - piece.t0;
    const int chords = static_cast<int>(std::ceil(turn / step));
    for (int k = 1; k < chords; ++k)
        loop.push_back(piece.at(piece.t0 + turn * k / chords));
}

class Chains {
public:
    Chains(const Outline& outline, double chord_m)
        : pieces_(outline.pieces), chord_m_(chord_m), used_(pieces_.size(), false),
          place_(pieces_.size(), no_piece)
    {
        for (std::size_t i = 0; i < pieces_.size(); ++i)
            by_start_.push_back(i);
        std::sort(by_start_.begin(), by_start_.end(), [&](std::size_t i, std::size_t j) {
            const Point a = pieces_[i].start;
            const Point b = pieces_[j].start;
            return a == b ? i < j : before(a, b);
        });
    }

    std::vector<Loop> loops()
    {
        for (std::size_t i = 0; i < pieces_.size(); ++i)
            if (!used_[i])
                walk(i);
        return std::move(loops_);
    }

private:
    /// The node at a point: the place of the first piece that starts there, in `by_start_`.
    std::size_t node(Point at) const
    {
        const auto found =
            std::lower_bound(by_start_.begin(), by_start_.end(), at,
                             [&](std::size_t i, Point p) { return before(pieces_[i].start, p); });
        return static_cast<std::size_t>(found - by_start_.begin());
    }

    /// The unused piece furthest to the left of those that start where `piece` ends.
    std::size_t next_of(std::size_t piece) const
    {
        const Point at = pieces_[piece].end;
        const Point direction = arriving(pieces_[piece]);
        std::size_t best = no_piece;
        double most = -std::numeric_limits<double>::infinity();
        for (std::size_t k = node(at); k < by_start_.size(); ++k) {
            const std::size_t i = by_start_[k];
            if (!(pieces_[i].start == at))
                break;
            if (used_[i])
                continue;
            const Point out = leaving(pieces_[i]);
            const double left = std::atan2(cross(direction, out), dot(direction, out));
            if (left > most) {
                most = left;
                best = i;
            }
        }
        return best;
    }

    void walk(std::size_t first)
    {
        for (std::size_t piece = first; piece != no_piece; piece = next_of(piece)) {
            used_[piece] = true;
            place_[node(pieces_[piece].start)] = chain_.size();
            chain_.push_back(piece);
            const std::size_t end = node(pieces_[piece].end);
            if (end < place_.size() && place_[end] != no_piece)
                cut_off(place_[end]);
            if (chain_.empty())
                return;
        }
        chain_.clear(); // only of an outline that does not close
    }

    /// Takes the end of the chain, from a place on, as a loop.
    void cut_off(std::size_t from)
    {
        Loop loop;
        for (std::size_t k = from; k < chain_.size(); ++k) {
            const Piece& piece = pieces_[chain_[k]];
            append_vertices(piece, chord_m_, loop);
            place_[node(piece.start)] = no_piece;
        }
        chain_.resize(from);
        if (loop.size() > 2)
            loops_.push_back(std::move(loop));
    }

    const std::vector<Piece>& pieces_;
    double chord_m_;
    std::vector<bool> used_;
    std::vector<std::size_t> by_start_;
    std::vector<std::size_t> place_; ///< in the chain, of the piece that leaves a node
    std::vector<std::size_t> chain_;
    std::vector<Loop> loops_;
};

} // namespace

std::vector<Loop> loops_of(const Outline& outline, double chord_m)
{
    return Chains{outline, chord_m}.loops();
}

Footprint ring_between(const Outline& outer, const Outline& inner, double chord_m)
{
    // Chained together: ground that is cut off by parts touching each other is a polygon of its
    // own.
    Outline ring = outer;
    for (const Piece& piece : inner.pieces)
        ring.pieces.push_back(piece.reversed());
    return {loops_of(ring, chord_m)};
}

} // namespace fuelring
