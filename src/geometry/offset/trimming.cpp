// SPDX-License-Identifier: Apache-2.0
#include "geometry/offset/trimming.hpp"

namespace fuelring {
namespace {

/// A stretch of a raw piece between two cuts.
struct Stretch {
    double t0;
    double t1;
    Point start;
    Point end;
};

template <typename Body>
Point middle(const RawPiece& raw, const Stretch& s, const Body& body)
{
    if (!raw.arc)
        return 0.5 * (s.start + s.end);
    return raw.base + body.at(raw.half, 0.5 * (s.t0 + s.t1));
}

template <typename Body>
Piece piece_of(const RawPiece& raw, const Stretch& s, const Body& body)
{
    if (!raw.arc)
        return Piece::line(s.start, s.end);
    return {s.start, s.end, true, raw.base, body.u(raw.half), body.v(), s.t0, s.t1};
}

} // namespace

template <typename Body>
std::vector<Piece> stretches_on_boundary(const std::vector<RawPiece>& pieces,
                                         const std::vector<Cut>& cuts, Walls<Body>& walls,
                                         const Body& body)
{
    std::vector<Piece> kept;
    kept.reserve(pieces.size() + cuts.size() / 2);
    auto cut = cuts.begin(); // cuts come in the order of the pieces
    for (std::uint32_t i = 0; i < pieces.size(); ++i) {
        const RawPiece& raw = pieces[i];
        Stretch s{raw.t0, raw.t0, raw.start, raw.start};
        for (bool last = false; !last; s.t0 = s.t1, s.start = s.end) {
            last = cut == cuts.end() || cut->piece != i;
            s.t1 = last ? raw.t1 : cut->t;
            s.end = last ? raw.end : cut->point;
            if (!last)
                ++cut;
            if (same_place(s.start, s.end) && s.t1 - s.t0 < quarter_turn)
                continue; // its ends become one in welding
            const Point m = middle(raw, s, body);
            if (!walls.covers(m, raw.in, raw.out) && !walls.surround(m))
                kept.push_back(piece_of(raw, s, body));
        }
    }
    return kept;
}

template std::vector<Piece> stretches_on_boundary(const std::vector<RawPiece>&,
                                                  const std::vector<Cut>&, Walls<Disc>&,
                                                  const Disc&);
template std::vector<Piece> stretches_on_boundary(const std::vector<RawPiece>&,
                                                  const std::vector<Cut>&, Walls<Egg>&, const Egg&);

} // namespace fuelring
