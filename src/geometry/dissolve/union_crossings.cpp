// SPDX-License-Identifier: Apache-2.0
#include "geometry/dissolve/union_crossings.hpp"

#include "geometry/crossings.hpp"

namespace fuelring {
namespace {

class TrackCrossings : public PairCuts<Track> {
public:
    using PairCuts::PairCuts;

    /// Pieces of one owner meet at their ends only.
    bool may_cross(std::uint32_t i, std::uint32_t j) const
    {
        return curve(i).owner != curve(j).owner;
    }
    void line_arc(std::uint32_t line, std::uint32_t arc)
    {
        PairCuts::line_arc(line, arc, curve(arc).circle);
    }
    void arc_arc(std::uint32_t i, std::uint32_t j)
    {
        const Piece& p = curve(i).piece;
        const Piece& q = curve(j).piece;
        const bool one_ellipse =
            same_place(p.centre, q.centre) && same_place(p.u, q.u) && same_place(p.v, q.v);
        if (one_ellipse || (p.u == q.u && p.v == q.v))
            arcs_of_one_shape(i, j, curve(i).circle);
        else
            any_arcs(i, j, p.u, p.v, curve(j).circle);
    }
};

} // namespace

Track::Track(const Piece& p, std::uint32_t of) : piece(p), owner(of)
{
    arc = p.arc;
    start = p.start;
    end = p.end;
    box = p.box();
    if (p.arc) {
        circle = UnitCircle{p};
        t0 = p.t0;
        t1 = p.t1;
        base = p.centre;
        from = circle(p.start);
        to = circle(p.end);
        return;
    }
    const Point d = p.end - p.start;
    t1 = d.length();
    base = p.start;
    from = {d.x / t1, d.y / t1};
}

std::vector<Cut> cuts_of_tracks(const std::vector<Track>& tracks)
{
    return cuts_of(tracks, TrackCrossings{tracks});
}

} // namespace fuelring
