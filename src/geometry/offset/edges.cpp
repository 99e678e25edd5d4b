// SPDX-License-Identifier: Apache-2.0
#include "geometry/offset/edges.hpp"

namespace fuelring {

template <typename Body>
Edge make_edge(Point a, Point b, const Body& body)
{
    Edge e;
    e.a = a;
    e.b = b;
    const Point d = b - a;
    e.length_m = d.length();
    e.direction = {d.x / e.length_m, d.y / e.length_m};
    e.normal = {e.direction.y, 0.0 - e.direction.x}; // 0 - 0 is +0: atan2 never sees a -0
    e.moved = body.support(e.normal);
    e.circle = body.circle(e.normal);
    e.parameter = std::atan2(e.circle.y, e.circle.x);
    return e;
}

template <typename Body>
std::vector<Edge> edges_of(const Footprint& footprint, const Body& body)
{
    std::size_t count = 0;
    for (const Loop& loop : footprint.loops)
        count += loop.size();
    std::vector<Edge> edges;
    edges.reserve(count);
    for (const Loop& loop : footprint.loops) {
        const auto first = static_cast<std::uint32_t>(edges.size());
        for (std::size_t i = 0; i < loop.size(); ++i) {
            const bool last = i + 1 == loop.size();
            edges.push_back(make_edge(loop[i], loop[last ? 0 : i + 1], body));
            edges.back().next = last ? first : static_cast<std::uint32_t>(edges.size());
        }
    }
    return edges;
}

bool is_convex(const Footprint& footprint, const std::vector<Edge>& edges)
{
    if (footprint.loops.size() != 1)
        return false;
    for (const Edge& e : edges)
        if (turn(e.direction, edges[e.next].direction) == Turn::right)
            return false;
    return true;
}

template Edge make_edge(Point, Point, const Disc&);
template Edge make_edge(Point, Point, const Egg&);
template std::vector<Edge> edges_of(const Footprint&, const Disc&);
template std::vector<Edge> edges_of(const Footprint&, const Egg&);

} // namespace fuelring
