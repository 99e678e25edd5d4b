// SPDX-License-Identifier: Apache-2.0
#include "geometry/offset/edge_index.hpp"

#include <algorithm>
#include <limits>

namespace fuelring {
namespace {

/// A squared distance counts as at least r^2 from r^2 (1 - this) on; looser keeps slivers.
constexpr double keep_tolerance = 1e-12;
/// Up to so many edges a plain look at all of them is the fastest.
constexpr std::size_t few_edges = 64;

/// r^2 less the tolerance and less what coordinates of this size round to.
template <typename Body>
double keep_m2(const std::vector<Edge>& edges, const Body& body)
{
    const double r_m = body.r_m;
    double largest = 0;
    for (const Edge& e : edges)
        largest = std::max({largest, std::abs(e.a.x), std::abs(e.a.y)});
    const double noise_m =
        4 * std::numeric_limits<double>::epsilon() * (largest + body.extent_m(0));
    return r_m * r_m * (1 - keep_tolerance) - 2 * r_m * noise_m;
}

} // namespace

template <typename Body>
EdgeIndex<Body>::EdgeIndex(const std::vector<Edge>& edges, const Body& body)
    : body_(body), keep_m2_(keep_m2(edges, body))
{
    entries_.reserve(edges.size());
    for (std::uint32_t i = 0; i < edges.size(); ++i)
        entries_.push_back({edges[i], i, body.foot(edges[i].direction)});
    if (edges.size() <= few_edges)
        return;
    const auto left = [](const Entry& w) { return std::min(w.a.x, w.b.x); };
    std::sort(entries_.begin(), entries_.end(), [left](const Entry& p, const Entry& q) {
        return left(p) != left(q) ? left(p) < left(q) : p.edge < q.edge;
    });
    x_min_.reserve(entries_.size());
    for (const Entry& w : entries_) {
        x_min_.push_back(left(w));
        widest_m_ = std::max(widest_m_, std::abs(w.b.x - w.a.x));
    }
}

/// The edges that may reach into a strip of x.
template <typename Body>
std::span<const typename EdgeIndex<Body>::Entry> EdgeIndex<Body>::between(double x_low,
                                                                          double x_high) const
{
    if (x_min_.empty())
        return entries_;
    const auto from = std::lower_bound(x_min_.begin(), x_min_.end(), x_low - widest_m_);
    const auto to = std::upper_bound(from, x_min_.end(), x_high);
    return {entries_.data() + (from - x_min_.begin()), static_cast<std::size_t>(to - from)};
}

template <typename Body>
template <typename Test>
bool EdgeIndex<Body>::any_near(double x, Test&& test)
{
    if (test(entries_[last_]))
        return true;
    for (const Entry& e : between(x - body_.extent_m(0), x + body_.extent_m(2)))
        if (test(e)) {
            last_ = static_cast<std::size_t>(&e - entries_.data());
            return true;
        }
    return false;
}

template <typename Body>
bool EdgeIndex<Body>::covers(Point p, std::uint32_t own1, std::uint32_t own2)
{
    return any_near(p.x, [&](const Entry& e) {
        return short_of_r(p - nearest(e, p)) && e.edge != own1 && e.edge != own2;
    });
}

template <typename Body>
bool EdgeIndex<Body>::covers_line(Point p, Point q, std::uint32_t own)
{
    // What is within r of one edge is convex: both ends in it, all in it.
    return any_near(p.x, [&](const Entry& e) {
        return short_of_r(p - nearest(e, p)) && short_of_r(q - nearest(e, q)) && e.edge != own;
    });
}

template <typename Body>
bool EdgeIndex<Body>::covers_arc(Point from, Point to, std::uint32_t own1, std::uint32_t own2)
{
    // The part of the body's boundary that lies in a moved copy of the body turns by less than half
    // a turn (the chord between its ends is also one on the far side of the strictly convex body).
    // The rest turns by more, so both ends of the arc in the copy, all of the arc in it.
    const Point middle = 0.5 * (from + to);
    return any_near(middle.x, [&](const Entry& e) {
        const Point w = nearest(e, middle);
        return short_of_r(from - w) && short_of_r(to - w) && e.edge != own1 && e.edge != own2;
    });
}

template <typename Body>
bool EdgeIndex<Body>::surround(Point p) const
{
    // Looks straight up. Both edges of a corner compare the same numbers, so a corner right above
    // p counts once.
    bool inside = false;
    for (const Entry& w : between(p.x, p.x))
        if ((w.a.x > p.x) != (w.b.x > p.x) &&
            p.y < w.a.y + (p.x - w.a.x) / (w.b.x - w.a.x) * (w.b.y - w.a.y))
            inside = !inside;
    return inside;
}

template class EdgeIndex<Disc>;
template class EdgeIndex<Egg>;

} // namespace fuelring
