// SPDX-License-Identifier: Apache-2.0

// Where raw pieces cross. A moved edge never crosses an arc about one of its own ends (it touches
// it), nor the moved edge that follows it (raw_pieces.cpp cut them). Where a half of the body is
// involved, lengths are those of its flat frame: there it is a circle of radius r.
#include "geometry/offset/crossings.hpp"

#include "geometry/crossings.hpp"

namespace fuelring {
namespace {

/// The circle of a half of the body.
template <typename Body>
struct HalfCircle {
    static constexpr bool is_identity = !Body::halved;
    const Body& body;
    Half half;

    Point vector(Point z) const { return body.flat(half, z); }
    double radius() const { return body.r_m; }
    Point on_ellipse(Point e) const { return body.r_m * body.steep(half, e); }
};

template <typename Body>
class RawCrossings : public PairCuts<RawPiece> {
public:
    RawCrossings(const std::vector<RawPiece>& pieces, const std::vector<Edge>& edges,
                 const Body& body)
        : PairCuts(pieces), edges_(edges), body_(body)
    {
        cuts.reserve(2 * pieces.size());
    }

    static bool may_cross(std::uint32_t, std::uint32_t) { return true; }

    void line_line(std::uint32_t i, std::uint32_t j)
    {
        const Edge& e = edges_[curve(i).in];
        const Edge& f = edges_[curve(j).in];
        if (!same_place(e.b, f.a) && !same_place(f.b, e.a))
            PairCuts::line_line(i, j);
    }

    void line_arc(std::uint32_t line, std::uint32_t arc)
    {
        const Edge& e = edges_[curve(line).in];
        const Point corner = curve(arc).base;
        if (!same_place(e.a, corner) && !same_place(e.b, corner))
            PairCuts::line_arc(line, arc, circle_of(arc));
    }

    void arc_arc(std::uint32_t i, std::uint32_t j)
    {
        if (!Body::halved || curve(i).half == curve(j).half)
            arcs_of_one_shape(i, j, circle_of(i));
        else if (!same_place(curve(i).base, curve(j).base)) // else they share ends at most
            any_arcs(i, j, body_.u(curve(i).half), body_.v(), circle_of(j));
    }

private:
    HalfCircle<Body> circle_of(std::uint32_t arc) const { return {body_, curve(arc).half}; }

    const std::vector<Edge>& edges_;
    const Body& body_;
};

} // namespace

template <typename Body>
std::vector<Cut> cuts_at_crossings(const std::vector<RawPiece>& pieces,
                                   const std::vector<Edge>& edges, const Body& body)
{
    return cuts_of(pieces, RawCrossings<Body>{pieces, edges, body});
}

template std::vector<Cut> cuts_at_crossings(const std::vector<RawPiece>&, const std::vector<Edge>&,
                                            const Disc&);
template std::vector<Cut> cuts_at_crossings(const std::vector<RawPiece>&, const std::vector<Edge>&,
                                            const Egg&);

} // namespace fuelring
