// SPDX-License-Identifier: Apache-2.0
#include "tools/plane.hpp"

#include <algorithm>

namespace community {
namespace {

/// Catmull and Rom's cubic through b and c.
Point cubic(Point a, Point b, Point c, Point d, double t)
{
    const Point linear = c - a;
    const Point square = a * 2 - b * 5 + c * 4 - d;
    const Point cube = b * 3 - c * 3 + d - a;
    return b + (linear * t + square * (t * t) + cube * (t * t * t)) * 0.5;
}

std::vector<Point> fine_curve(const std::vector<Point>& controls)
{
    constexpr int steps = 400;
    std::vector<Point> curve{controls.front()};
    for (std::size_t i = 0; i + 1 < controls.size(); ++i) {
        const Point b = controls[i], c = controls[i + 1];
        const Point a = i == 0 ? b * 2 - c : controls[i - 1];
        const Point d = i + 2 < controls.size() ? controls[i + 2] : c * 2 - b;
        for (int k = 1; k <= steps; ++k)
            curve.push_back(cubic(a, b, c, d, k / static_cast<double>(steps)));
    }
    return curve;
}

/// Points one metre apart along the curve.
std::vector<Point> by_metres(const std::vector<Point>& curve)
{
    std::vector<Point> points{curve.front()};
    double left_m = 1;
    for (std::size_t i = 0; i + 1 < curve.size(); ++i) {
        const double step_m = length(curve[i + 1] - curve[i]);
        double done_m = 0;
        while (step_m - done_m >= left_m) {
            done_m += left_m;
            points.push_back(curve[i] + (curve[i + 1] - curve[i]) * (done_m / step_m));
            left_m = 1;
        }
        left_m -= step_m - done_m;
    }
    return points;
}

} // namespace

Box box_of(const Ring& ring)
{
    Box box{ring[0].x, ring[0].y, ring[0].x, ring[0].y};
    for (const Point p : ring)
        box = {std::min(box.west, p.x), std::min(box.south, p.y), std::max(box.east, p.x),
               std::max(box.north, p.y)};
    return box;
}

double signed_area_m2(const Ring& ring)
{
    double twice = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Point a = ring[i] - ring[0], b = ring[(i + 1) % ring.size()] - ring[0];
        twice += a.x * b.y - a.y * b.x;
    }
    return twice / 2;
}

bool contains(const Ring& ring, Point p)
{
    bool inside = false;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Point a = ring[i], b = ring[(i + 1) % ring.size()];
        if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y))
            inside = !inside;
    }
    return inside;
}

double distance_to_segment(Point p, Point a, Point b)
{
    const Point edge = b - a;
    const double square = dot(edge, edge);
    const double t = square > 0 ? std::clamp(dot(p - a, edge) / square, 0.0, 1.0) : 0;
    return length(p - a - edge * t);
}

Spine::Spine(const std::vector<Point>& controls) : points_(by_metres(fine_curve(controls)))
{
    // Taken over some metres, so that what stands beside the line does not fan out at every kink.
    constexpr std::size_t reach = 12;
    for (std::size_t i = 0; i < points_.size(); ++i) {
        const std::size_t low = i < reach ? 0 : i - reach;
        const std::size_t high = std::min(i + reach, points_.size() - 1);
        directions_.push_back(unit(points_[high] - points_[low]));
    }
}

Point Spine::direction(double along) const
{
    const double i = std::clamp(std::floor(along), 0.0, length_m() - 1);
    const double t = std::clamp(along - i, 0.0, 1.0);
    const auto k = static_cast<std::size_t>(i);
    return unit(directions_[k] * (1 - t) + directions_[k + 1] * t);
}

Point Spine::at(double along, double beside) const
{
    const double i = std::clamp(std::floor(along), 0.0, length_m() - 1);
    const auto k = static_cast<std::size_t>(i);
    const Point on_line = points_[k] + (points_[k + 1] - points_[k]) * (along - i);
    return on_line + left_of(direction(along)) * beside;
}

Spine::Nearest Spine::nearest(Point p) const
{
    constexpr std::size_t stride = 16;
    const auto squared = [&](std::size_t i) { return dot(p - points_[i], p - points_[i]); };
    std::size_t best = 0;
    for (std::size_t i = 0; i < points_.size(); i += stride)
        if (squared(i) < squared(best))
            best = i;
    const std::size_t low = best < stride ? 0 : best - stride;
    const std::size_t high = std::min(best + stride, points_.size() - 1);
    for (std::size_t i = low; i <= high; ++i)
        if (squared(i) < squared(best))
            best = i;
    const Point offset = p - points_[best];
    const double beside = length(offset);
    const bool is_left = dot(offset, left_of(directions_[best])) >= 0;
    return {static_cast<double>(best), is_left ? beside : -beside};
}

} // namespace community
