// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/offset/edges.hpp"

#include <span>

namespace fuelring {

/// The edges of a footprint, arranged to judge points and whole pieces: is this nearer than r to an
/// edge, is it inside? Nearness is by nominal distance, which is r all along the body's boundary.
/// An edge never covers the pieces made of it: they lie at r by construction.
///
/// Remembers which edge covered the last thing asked about, since it often covers the next one too.
/// That changes no answer, but makes one object a matter of one thread.
template <typename Body>
class EdgeIndex {
public:
    /// Edges are copied. Cost: n log n once; later those within reach in x are asked.
    EdgeIndex(const std::vector<Edge>& edges, const Body& body);

    /// Is p nearer than r to an edge other than own1 and own2?
    bool covers(Point p, std::uint32_t own1, std::uint32_t own2);
    /// Is the straight line from p to q nearer than r to one edge all along?
    /// Its ends tell: what lies nearer than r to one edge is a sum of convex sets, hence convex.
    bool covers_line(Point p, Point q, std::uint32_t own);
    /// Is an arc of less than half a turn nearer than r to one point of an edge all along?
    /// May say no where only several points together cover it.
    bool covers_arc(Point from, Point to, std::uint32_t own1, std::uint32_t own2);
    /// Is p inside the footprint, by even-odd?
    bool surround(Point p) const;

private:
    struct Entry : Segment {
        std::uint32_t edge;
        [[no_unique_address]] typename Body::Foot foot;
    };
    template <typename Test>
    bool any_near(double x, Test&& test);
    std::span<const Entry> between(double x_low, double x_high) const;
    Point nearest(const Entry& e, Point p) const { return body_.nearest(e, e.foot, p); }
    /// Is z, from an edge to a point, shorter than r?
    bool short_of_r(Point z) const { return body_.nominal2(z) < keep_m2_; }

    std::vector<Entry> entries_; ///< many: by the smaller x; few: as they come
    std::vector<double> x_min_;  ///< empty for few edges
    double widest_m_ = 0;        ///< extent in x of the widest edge
    Body body_;
    double keep_m2_;       ///< squared nominal distances from here on count as r or more
    std::size_t last_ = 0; ///< the edge that covered last
};

} // namespace fuelring
