// SPDX-License-Identifier: Apache-2.0

// Oriented pieces are a sum of closed loops exactly where every node is entered as often as left
// (Euler). No loop need be found: whoever integrates over pieces only needs to know that they
// close. A wall that two parts share is there twice, in opposite directions, and bounds nothing.
#include "geometry/offset/welding.hpp"

#include <algorithm>
#include <cstdint>
#include <limits>
#include <numeric>

namespace fuelring {
namespace {

constexpr std::uint32_t none = std::numeric_limits<std::uint32_t>::max();

/// End k of the pieces: the start of piece k / 2 for even k, else its end.
Point& end_of(std::vector<Piece>& pieces, std::uint32_t k)
{
    Piece& piece = pieces[k / 2];
    return k % 2 == 0 ? piece.start : piece.end;
}

/// The node of every end: the first end, from left to right, of those in its place.
std::vector<std::uint32_t> nodes_of(std::vector<Piece>& pieces)
{
    std::vector<std::uint32_t> by_x(2 * pieces.size());
    std::iota(by_x.begin(), by_x.end(), 0U);
    std::sort(by_x.begin(), by_x.end(), [&](std::uint32_t i, std::uint32_t j) {
        const Point p = end_of(pieces, i);
        const Point q = end_of(pieces, j);
        return p.x != q.x ? p.x < q.x : p.y != q.y ? p.y < q.y : i < j;
    });
    std::vector<std::uint32_t> node(by_x.size(), none);
    for (std::size_t i = 0; i < by_x.size(); ++i) {
        if (node[by_x[i]] != none)
            continue;
        node[by_x[i]] = by_x[i];
        const Point p = end_of(pieces, by_x[i]);
        for (std::size_t j = i + 1; j < by_x.size(); ++j) {
            const Point q = end_of(pieces, by_x[j]);
            if (q.x - p.x > same_place_m)
                break;
            if (node[by_x[j]] == none && same_place(p, q))
                node[by_x[j]] = by_x[i];
        }
    }
    return node;
}

/// A piece and the nodes it runs between. Piece `none` is one to leave out.
struct Ends {
    std::uint32_t piece;
    std::uint32_t from;
    std::uint32_t to;
};

/// Do two pieces between the same two nodes run over each other? Arcs of one ellipse between the
/// same nodes do in one of two ways: the others make up the whole ellipse.
bool same_curve(const Piece& a, const Piece& b, bool opposite)
{
    if (a.arc != b.arc || !a.arc)
        return a.arc == b.arc;
    return same_place(a.centre, b.centre) && same_place(a.u, b.u) &&
           same_place(a.v, opposite ? -1 * b.v : b.v);
}

/// Marks repeats of a piece, then pieces that are there both ways, among those between the same
/// two nodes.
void mark_doubles(const std::vector<Piece>& pieces, std::vector<Ends>& ends)
{
    const auto key = [](const Ends& e) {
        return std::pair{std::min(e.from, e.to), std::max(e.from, e.to)};
    };
    std::sort(ends.begin(), ends.end(), [&](const Ends& a, const Ends& b) {
        return key(a) != key(b) ? key(a) < key(b) : a.piece < b.piece;
    });
    const auto mark = [&](bool opposite) {
        for (std::size_t i = 0; i < ends.size(); ++i)
            for (std::size_t j = i + 1; j < ends.size() && key(ends[j]) == key(ends[i]); ++j) {
                Ends& a = ends[i];
                Ends& b = ends[j];
                if (a.piece == none || b.piece == none || (a.from != b.from) != opposite ||
                    !same_curve(pieces[a.piece], pieces[b.piece], opposite))
                    continue;
                b.piece = none;
                if (opposite)
                    a.piece = none;
            }
    };
    mark(false);
    mark(true);
    std::erase_if(ends, [](const Ends& e) { return e.piece == none; });
    std::sort(ends.begin(), ends.end(),
              [](const Ends& a, const Ends& b) { return a.piece < b.piece; });
}

/// Is a node left or entered by more than one piece? Only then can pieces be double.
bool branches(const std::vector<Ends>& ends, std::vector<std::int32_t>& leaving)
{
    bool more = false;
    for (const Ends& e : ends)
        more |= ++leaving[e.from] > 1;
    return more;
}

/// Is every node entered as often as it is left?
bool balanced(const std::vector<Ends>& ends, std::vector<std::int32_t>& balance)
{
    std::fill(balance.begin(), balance.end(), 0);
    for (const Ends& e : ends) {
        ++balance[e.from];
        --balance[e.to];
    }
    return std::all_of(balance.begin(), balance.end(), [](std::int32_t n) { return n == 0; });
}

} // namespace

bool weld(std::vector<Piece>& pieces)
{
    const std::vector<std::uint32_t> node = nodes_of(pieces);
    std::vector<Ends> ends;
    ends.reserve(pieces.size());
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        const std::uint32_t from = node[2 * i];
        const std::uint32_t to = node[2 * i + 1];
        pieces[i].start = end_of(pieces, from);
        pieces[i].end = end_of(pieces, to);
        if (from != to)
            ends.push_back({static_cast<std::uint32_t>(i), from, to});
    }
    std::vector<std::int32_t> count(node.size(), 0);
    if (branches(ends, count))
        mark_doubles(pieces, ends);
    // What is left keeps its order.
    for (std::uint32_t k = 0; k < ends.size(); ++k)
        if (ends[k].piece != k)
            pieces[k] = pieces[ends[k].piece];
    pieces.resize(ends.size());
    return balanced(ends, count);
}

} // namespace fuelring
