// SPDX-License-Identifier: Apache-2.0
#include <fuelring/footprint.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring {
namespace {

/// Twice the signed area, relative to the first vertex so that far-off origins cost nothing.
double twice_area(const Loop& loop)
{
    double sum = 0;
    for (std::size_t i = 2; i < loop.size(); ++i)
        sum += cross(loop[i - 1] - loop[0], loop[i] - loop[0]);
    return sum;
}

double length_m(const Loop& loop)
{
    double sum = 0;
    for (std::size_t i = 0; i < loop.size(); ++i) {
        const Point d = loop[(i + 1) % loop.size()] - loop[i];
        sum += std::hypot(d.x, d.y);
    }
    return sum;
}

Loop without_repeats(const Loop& raw)
{
    Loop loop;
    loop.reserve(raw.size());
    for (const Point p : raw)
        if (loop.empty() || !same_place(loop.back(), p))
            loop.push_back(p);
    while (loop.size() > 1 && same_place(loop.back(), loop.front()))
        loop.pop_back();
    return loop;
}

} // namespace

Footprint normalised(const std::vector<RawLoop>& loops)
{
    Footprint footprint;
    footprint.loops.reserve(loops.size());
    for (const RawLoop& raw : loops) {
        Loop loop = without_repeats(raw.vertices);
        const double area2 = twice_area(loop);
        // A loop narrower than the distance at which two points are one has no area.
        if (loop.size() < 3 || std::abs(area2) <= same_place_m * length_m(loop))
            continue;
        if ((area2 < 0) != raw.hole)
            std::reverse(loop.begin(), loop.end());
        footprint.loops.push_back(std::move(loop));
    }
    return footprint;
}

double area_m2(const Footprint& footprint)
{
    double sum = 0;
    for (const Loop& loop : footprint.loops)
        sum += twice_area(loop);
    return sum / 2;
}

double perimeter_m(const Footprint& footprint)
{
    double sum = 0;
    for (const Loop& loop : footprint.loops)
        sum += length_m(loop);
    return sum;
}

Box bounds(const Footprint& footprint)
{
    constexpr double inf = std::numeric_limits<double>::infinity();
    Box box{{inf, inf}, {-inf, -inf}};
    for (const Loop& loop : footprint.loops)
        for (const Point p : loop) {
            box.min = {std::min(box.min.x, p.x), std::min(box.min.y, p.y)};
            box.max = {std::max(box.max.x, p.x), std::max(box.max.y, p.y)};
        }
    return box;
}

bool contains(const Footprint& footprint, Point p)
{
    // Both edges of a vertex compare the same numbers, so a vertex level with p counts once.
    bool inside = false;
    for (const Loop& loop : footprint.loops) {
        Point a = loop.back();
        for (const Point b : loop) {
            if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x))
                inside = !inside;
            a = b;
        }
    }
    return inside;
}

} // namespace fuelring
