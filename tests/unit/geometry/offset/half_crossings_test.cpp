// SPDX-License-Identifier: Apache-2.0
#include "geometry/offset/half_crossings.hpp"
#include "unit/geometry/shapes.hpp"

#include <doctest/doctest.h>

#include <cmath>

namespace fuelring {
namespace {

/// Where along the downhill half of an egg, seen from the other's centre, its boundary is crossed:
/// changes of sign of (nominal distance - r) at uphill points, by dense sampling.
int sampled_crossings(const Egg& egg, Point to)
{
    constexpr int samples = 4000;
    int found = 0;
    double before = 0;
    for (int k = 0; k <= samples; ++k) {
        const double t = -quarter_turn + 2 * quarter_turn * k / samples;
        const Point z = egg.at(Half::downhill, t) - to;
        const double off =
            std::sqrt(dot(egg.flat(Half::uphill, z), egg.flat(Half::uphill, z))) - egg.r_m;
        if (k > 0 && z.x < 0 && (off < 0) != (before < 0))
            ++found;
        before = off;
    }
    return found;
}

} // namespace

TEST_CASE("where halves of two eggs cross lies on both, and no crossing is missed")
{
    Dice dice{404};
    int crossings = 0;
    for (int round = 0; round < 500; ++round) {
        const Egg egg{10, dice.between(1, 4), dice.between(1, 3)};
        const Point to{dice.between(-10, 60), dice.between(-65, 65)};
        CAPTURE(round);
        const auto found = crossings_of_halves(egg, to);
        for (const HalfCrossing& c : found) {
            const Point p = egg.r_m * egg.steep(Half::downhill, c.downhill);
            const Point q = to + egg.r_m * egg.steep(Half::uphill, c.uphill);
            CHECK(c.downhill.x >= 0);
            CHECK(c.uphill.x <= 0);
            CHECK(std::hypot(p.x - q.x, p.y - q.y) < 1e-12 * 10 * (egg.down + egg.across));
        }
        CHECK(static_cast<int>(found.size()) == sampled_crossings(egg, to));
        crossings += static_cast<int>(found.size());
    }
    CHECK(crossings > 50);
}

TEST_CASE("eggs side by side that only touch do not cross, those a little nearer cross twice")
{
    const Egg egg{10, 2, 1.5};
    CHECK(crossings_of_halves(egg, {30, 0}).empty()); // 20 m downhill and 10 m uphill
    CHECK(crossings_of_halves(egg, {30 * (1 - 1e-13), 0}).empty());
    CHECK(crossings_of_halves(egg, {30 * (1 - 1e-9), 0}).size() == 2);
    CHECK(crossings_of_halves(egg, {0, 1}).empty());      // level: each half meets its like
    CHECK(crossings_of_halves(egg, {-5, 1}).empty());     // uphill of it: the other way round
    CHECK(crossings_of_halves(egg, {5, 29}).size() == 1); // 30 m apart across they touch
}

} // namespace fuelring
