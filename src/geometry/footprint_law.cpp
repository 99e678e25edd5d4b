// SPDX-License-Identifier: Apache-2.0

// A footprint keeps its law where every place is enclosed once or not at all: its winding number,
// the turns of all loops about it, is 1 or 0. Where no two edges come near each other loops are
// simple and nest, and one vertex of each tells. Where they do (most buildings never) GEOS divides
// the plane along all edges, and every face tells.
#include "geometry/geos.hpp"
#include "geometry/require.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>
#include <stdexcept>

namespace fuelring {

namespace {

/// Edges further apart than this do not meet; what vertices moved by so much leave is no overlap.
constexpr double meeting_m = 1e-8;

struct LinkedEdge {
    Point a;
    Point b;
    std::uint32_t before; ///< number of the edge that ends at a
    std::uint32_t after;  ///< number of the edge that begins at b
};

[[noreturn]] void refuse(std::size_t loop, Point at, const char* what)
{
    throw std::invalid_argument{
        fmt::format("footprint: loop {} at ({}, {}): {}", loop, at.x, at.y, what)};
}

bool folds_back(Point before, Point after)
{
    return cross(before, after) == 0 && dot(before, after) < 0;
}

void require_simple_facts(const Footprint& footprint)
{
    for (std::size_t k = 0; k < footprint.loops.size(); ++k) {
        const Loop& loop = footprint.loops[k];
        if (loop.size() < 3)
            refuse(k, loop.empty() ? Point{} : loop.front(), "fewer than three vertices");
        Point before = loop.back();
        Point before_that = loop[loop.size() - 2];
        for (const Point p : loop) {
            if (!is_local(p))
                refuse(k, p, "a coordinate is not finite or too far off");
            if (same_place(before, p))
                refuse(k, p, "a vertex is repeated");
            if (folds_back(before - before_that, p - before))
                refuse(k, before, "the outline folds back on itself");
            before_that = before;
            before = p;
        }
    }
}

std::vector<LinkedEdge> linked_edges(const Footprint& footprint)
{
    std::vector<LinkedEdge> edges;
    for (const Loop& loop : footprint.loops) {
        const auto first = static_cast<std::uint32_t>(edges.size());
        const auto n = static_cast<std::uint32_t>(loop.size());
        for (std::uint32_t i = 0; i < n; ++i)
            edges.push_back(
                {loop[i], loop[(i + 1) % n], first + (i + n - 1) % n, first + (i + 1) % n});
    }
    return edges;
}

/// True where both points lie on one side of an edge's line, further off than meeting_m.
bool clear_of(const LinkedEdge& edge, Point p, Point q)
{
    const Point d = edge.b - edge.a;
    const double margin = meeting_m * d.length();
    const double at_p = cross(d, p - edge.a);
    const double at_q = cross(d, q - edge.a);
    return (at_p > margin && at_q > margin) || (at_p < -margin && at_q < -margin);
}

/// True where edges that follow each other in a loop nearly fold back.
bool nearly_fold(Point d, Point next)
{
    return dot(d, next) < 0 && std::abs(cross(d, next)) <= meeting_m * -dot(d, next);
}

bool may_meet(const LinkedEdge& one, const LinkedEdge& other, std::uint32_t number_of_other)
{
    if (one.after == number_of_other)
        return nearly_fold(one.b - one.a, other.b - other.a);
    if (one.before == number_of_other)
        return nearly_fold(other.b - other.a, one.b - one.a);
    const auto [low, high] = std::minmax(one.a.y, one.b.y);
    const auto [other_low, other_high] = std::minmax(other.a.y, other.b.y);
    if (low > other_high + meeting_m || other_low > high + meeting_m)
        return false;
    return !clear_of(one, other.a, other.b) && !clear_of(other, one.a, one.b);
}

/// A sweep over x: only edges whose ranges of x meet are looked at.
bool some_edges_may_meet(const std::vector<LinkedEdge>& edges)
{
    const auto left = [&edges](std::uint32_t k) { return std::min(edges[k].a.x, edges[k].b.x); };
    std::vector<std::uint32_t> order(edges.size());
    std::iota(order.begin(), order.end(), 0U);
    std::sort(order.begin(), order.end(),
              [&left](std::uint32_t i, std::uint32_t j) { return left(i) < left(j); });
    for (std::size_t i = 0; i < order.size(); ++i) {
        const LinkedEdge& edge = edges[order[i]];
        const double right = std::max(edge.a.x, edge.b.x) + meeting_m;
        for (std::size_t j = i + 1; j < order.size() && left(order[j]) <= right; ++j)
            if (may_meet(edge, edges[order[j]], order[j]))
                return true;
    }
    return false;
}

/// How often a loop turns about a point, counter-clockwise. Both edges of a vertex compare the same
/// numbers, so a vertex level with p counts once.
int turns_about(const Loop& loop, Point p)
{
    if (loop.empty())
        return 0;
    int turns = 0;
    Point a = loop.back();
    for (const Point b : loop) {
        // A ray from p to larger x: an edge that crosses it upwards is a turn, downwards one back.
        if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x))
            turns += b.y > a.y ? 1 : -1;
        a = b;
    }
    return turns;
}

int turns_about(const Footprint& footprint, Point p)
{
    int turns = 0;
    for (const Loop& loop : footprint.loops)
        turns += turns_about(loop, p);
    return turns;
}

/// Of simple loops that keep apart: shells lie in the open, holes in what a shell encloses.
void require_nesting(const Footprint& footprint)
{
    for (std::size_t k = 0; k < footprint.loops.size(); ++k) {
        const Loop& loop = footprint.loops[k];
        const bool hole = area_m2(Footprint{{loop}}) < 0;
        int around = 0;
        for (std::size_t other = 0; other < footprint.loops.size(); ++other)
            if (other != k)
                around += turns_about(footprint.loops[other], loop.front());
        if (hole && around != 1)
            refuse(k, loop.front(), "it runs clockwise, as a hole does, and no shell contains it");
        if (!hole && around != 0)
            refuse(k, loop.front(),
                   "it lies in another one, and what both enclose would count "
                   "twice (see repaired())");
    }
}

/// However loops touch: every face is enclosed once or not at all.
void require_faces(const Footprint& footprint)
{
    const double sliver_m2 = meeting_m * perimeter_m(footprint);
    for (const Face& face : faces(footprint.loops)) {
        const int turns = turns_about(footprint, face.inside);
        if (face.area_m2 > sliver_m2 && turns != 0 && turns != 1)
            throw std::invalid_argument{fmt::format(
                "footprint: {} m2 about ({}, {}) are enclosed {} times: parts overlap or an "
                "outline crosses itself (see repaired())",
                face.area_m2, face.inside.x, face.inside.y, turns)};
    }
}

} // namespace

bool contains(const Footprint& footprint, Point p)
{
    return turns_about(footprint, p) % 2 != 0;
}

void require_valid(const Footprint& footprint)
{
    if (footprint.loops.empty())
        throw std::invalid_argument{"footprint: it has no loops"};
    require_simple_facts(footprint);
    if (some_edges_may_meet(linked_edges(footprint)))
        require_faces(footprint);
    else
        require_nesting(footprint);
}

} // namespace fuelring
