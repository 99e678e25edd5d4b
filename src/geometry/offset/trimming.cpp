// SPDX-License-Identifier: Apache-2.0

// Between two cuts a piece lies on the boundary as a whole or not at all: to change sides it would
// have to meet the boundary, which is made of such pieces, and there it was cut. So one point
// tells.
#include "geometry/offset/trimming.hpp"

namespace fuelring {
namespace {

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
                                         const std::vector<Cut>& cuts, EdgeIndex<Body>& index,
                                         const Body& body)
{
    std::vector<Piece> kept;
    kept.reserve(pieces.size() + cuts.size() / 2);
    for_each_stretch(pieces, cuts, [&](std::uint32_t i, const Stretch& s) {
        const RawPiece& raw = pieces[i];
        const Point m = middle(raw, s, body);
        if (!index.covers(m, raw.in, raw.out) && !index.surround(m))
            kept.push_back(piece_of(raw, s, body));
    });
    return kept;
}

template std::vector<Piece> stretches_on_boundary(const std::vector<RawPiece>&,
                                                  const std::vector<Cut>&, EdgeIndex<Disc>&,
                                                  const Disc&);
template std::vector<Piece> stretches_on_boundary(const std::vector<RawPiece>&,
                                                  const std::vector<Cut>&, EdgeIndex<Egg>&,
                                                  const Egg&);

} // namespace fuelring
