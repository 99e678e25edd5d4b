// SPDX-License-Identifier: Apache-2.0
#include "geometry/nearness.hpp"

#include <algorithm>
#include <limits>

namespace fuelring {
namespace {

/// A squared distance counts as at least r^2 from r^2 (1 - this) on; looser keeps slivers.
constexpr double keep_tolerance = 1e-12;
/// Up to so many edges a plain look at all of them is the fastest.
constexpr std::size_t few_edges = 64;

/// r^2 less the tolerance and less what coordinates of this size round to.
double keep_m2(const std::vector<Edge>& edges, double r_m)
{
    double largest = 0;
    for (const Edge& e : edges)
        largest = std::max({largest, std::abs(e.a.x), std::abs(e.a.y)});
    const double noise_m = 4 * std::numeric_limits<double>::epsilon() * (largest + r_m);
    return r_m * r_m * (1 - keep_tolerance) - 2 * r_m * noise_m;
}

} // namespace

Nearness::Nearness(const std::vector<Edge>& edges, const Disc& body)
    : r_m_(body.r_m), keep_m2_(keep_m2(edges, body.r_m))
{
    walls_.reserve(edges.size());
    for (std::uint32_t i = 0; i < edges.size(); ++i)
        walls_.push_back({edges[i].a, edges[i].direction, edges[i].length_m, i});
    if (edges.size() <= few_edges)
        return;
    const auto left = [&](const Wall& w) { return std::min(edges[w.edge].a.x, edges[w.edge].b.x); };
    std::sort(walls_.begin(), walls_.end(), [&](const Wall& p, const Wall& q) {
        return left(p) != left(q) ? left(p) < left(q) : p.edge < q.edge;
    });
    x_min_.reserve(walls_.size());
    for (const Wall& w : walls_) {
        x_min_.push_back(left(w));
        widest_m_ = std::max(widest_m_, std::abs(edges[w.edge].b.x - edges[w.edge].a.x));
    }
}

std::span<const Nearness::Wall> Nearness::within_reach(double x) const
{
    if (x_min_.empty())
        return walls_;
    const auto from =
        std::lower_bound(x_min_.begin(), x_min_.end(), x - r_m_ - widest_m_) - x_min_.begin();
    const auto to = std::upper_bound(x_min_.begin(), x_min_.end(), x + r_m_) - x_min_.begin();
    return {walls_.data() + from, static_cast<std::size_t>(std::max<std::ptrdiff_t>(0, to - from))};
}

inline Point Nearness::nearest(const Wall& wall, Point p)
{
    const double along = dot(p - wall.a, wall.direction);
    return wall.a + std::clamp(along, 0.0, wall.length_m) * wall.direction;
}

bool Nearness::covers(Point p, std::uint32_t own1, std::uint32_t own2) const
{
    for (const Wall& wall : within_reach(p.x)) {
        const Point to = p - nearest(wall, p);
        if (dot(to, to) < keep_m2_ && wall.edge != own1 && wall.edge != own2)
            return true;
    }
    return false;
}

bool Nearness::covers_line(Point p, Point q, std::uint32_t own) const
{
    // What is within r of one edge is convex: both ends in it, all in it.
    for (const Wall& wall : within_reach(p.x)) {
        const Point to_p = p - nearest(wall, p);
        if (dot(to_p, to_p) >= keep_m2_)
            continue;
        const Point to_q = q - nearest(wall, q);
        if (dot(to_q, to_q) < keep_m2_ && wall.edge != own)
            return true;
    }
    return false;
}

bool Nearness::covers_arc(Point from, Point to, std::uint32_t own1, std::uint32_t own2) const
{
    // The directions that lead from the corner into the disc about another point span less than
    // half a turn: both ends of the arc in it, all of the arc in it.
    const Point middle = 0.5 * (from + to);
    for (const Wall& wall : within_reach(middle.x)) {
        const Point w = nearest(wall, middle);
        const Point f = from - w;
        const Point t = to - w;
        if (dot(f, f) < keep_m2_ && dot(t, t) < keep_m2_ && wall.edge != own1 && wall.edge != own2)
            return true;
    }
    return false;
}

} // namespace fuelring
