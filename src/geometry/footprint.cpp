// SPDX-License-Identifier: Apache-2.0

// Area by the shoelace formula, Green's theorem for straight edges: half the sum of the cross
// products of neighbouring vertices, signed, so that holes, which run clockwise, subtract.
#include "geometry/geos.hpp"
#include "geometry/require.hpp"

#include <fuelring/footprint.hpp>

#include <algorithm>
#include <cmath>

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

/// True where it has no area however it is counted: the areas of a loop that crosses itself may
/// cancel.
bool encloses_nothing(const Loop& loop)
{
    // A strip of length l and width w has a perimeter of 2 l and an area of l w: twice that is w
    // times the perimeter.
    const double least_twice_m2 = same_place_m * length_m(loop);
    if (std::abs(twice_area(loop)) > least_twice_m2)
        return false;
    double sum_m2 = 0;
    for (const Face& face : faces({loop}))
        sum_m2 += face.area_m2;
    return 2 * sum_m2 <= least_twice_m2;
}

} // namespace

Footprint normalised(const std::vector<RawLoop>& loops)
{
    Footprint footprint;
    footprint.loops.reserve(loops.size());
    for (const RawLoop& raw : loops) {
        require(std::all_of(raw.vertices.begin(), raw.vertices.end(),
                            [](Point p) { return is_local(p); }),
                "normalised: a coordinate is not finite or too far off");
        Loop loop = without_repeats(raw.vertices);
        // A loop narrower than the distance at which two points are one has no area.
        if (loop.size() < 3 || encloses_nothing(loop))
            continue;
        // Interior to the left: shells counter-clockwise, holes clockwise, however they were drawn.
        if ((twice_area(loop) < 0) != raw.hole)
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
    Box box = Box::nothing();
    for (const Loop& loop : footprint.loops)
        for (const Point p : loop)
            box.take_in(p);
    return box;
}

} // namespace fuelring
