// SPDX-License-Identifier: Apache-2.0

// Outlines on slopes: closed forms at any aspect.
#include "unit/geometry/shapes.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

namespace fuelring {
namespace {

using doctest::Approx;

constexpr std::array<double, 7> aspects_deg{0, 17, 45, 90, 135, 180, 247.5};

RingStretch random_stretch(Dice& dice)
{
    return on_slope(dice.between(1, 3), dice.one_in(3) ? 1 : dice.between(1, 2.5),
                    dice.one_in(4) ? 90 * dice.up_to(3) : dice.between(0, 360));
}

/// The egg as a page of paper would have it: apart from body.hpp.
struct ByHand {
    RingStretch stretch;
    double r_m;

    Point on_slope_axes(Point z) const
    {
        return {dot(z, stretch.downhill), cross(stretch.downhill, z)};
    }
    /// r (A^2 x, C^2 y) / hypot(A x, C y), turned back.
    Point support(Point normal) const
    {
        const Point n = on_slope_axes(normal);
        const double a = n.x >= 0 ? stretch.down : 1;
        const double c = stretch.across;
        const double k = r_m / std::hypot(a * n.x, c * n.y);
        const Point e = stretch.downhill;
        return k * a * a * n.x * e + k * c * c * n.y * Point{-e.y, e.x};
    }
    /// From the centre to the boundary between two normals: A C r^2 / 2 per radian of t.
    double sector_m2(Point from, Point to) const
    {
        const auto parameter = [&](Point normal) {
            const Point n = on_slope_axes(normal);
            return std::atan2(stretch.across * n.y, (n.x >= 0 ? stretch.down : 1) * n.x);
        };
        const double t0 = parameter(from);
        const double t1 = parameter(to) + (parameter(to) < t0 ? 2 * pi : 0);
        double downhill = 0; // radians where cos t >= 0: about 0 and about 2 pi
        for (const double middle : {0.0, 2 * pi})
            downhill +=
                std::max(std::min(t1, middle + pi / 2) - std::max(t0, middle - pi / 2), 0.0);
        return stretch.across * r_m * r_m / 2 * (stretch.down * downhill + (t1 - t0 - downhill));
    }
};

void check_exact_stretched(const Footprint& f, double r_m, const RingStretch& stretch,
                           double expected_m2)
{
    const Outline o = outline_within(f, r_m, stretch);
    CHECK(o.method == OutlineMethod::exact);
    CHECK(std::abs(area_m2(o) / expected_m2 - 1) < 1e-12);
    CHECK(worst_imbalance(o) == 0);
    CHECK(closure_error_m(o) < 1e-9);
}

} // namespace

TEST_CASE("a square of 10 m has the areas of the closed form on six slopes")
{
    // Source: closed form, mixed area of a square and an egg, in 30-digit arithmetic.
    struct Case {
        double down, across, aspect_deg;
        double within_10_m2, within_30_m2, within_100_m2;
        double ring_1_5_10_m2, ring_10_30_m2, ring_30_100_m2;
    };
    const Case cases[] = {
        {2, 1, 90, 1071.23889804, 5841.15008235, 52223.8898038, 904.170314568, 4769.911184308,
         46382.739721501},
        {2.5, 1, 0, 1199.77871438, 6698.00842940, 60577.8714378, 1032.710130908, 5498.229715026,
         53879.863008417},
        {2.5, 1, 45, 1230.56736967, 6790.37439528, 60885.7579908, 1063.498786201, 5559.807025612,
         54095.383595470},
        {1.5, 1, 30, 946.457583143, 4995.56723962, 43907.4931843, 779.388999673, 4049.109656479,
         38911.925944696},
        {2, 1.5, 135, 1415.36271333, 8287.23822234, 76870.8783685, 1248.294129860, 6871.875509007,
         68583.640146161},
        {2.25, 1.2, 247.5, 1286.32599773, 7334.64139788, 67098.2110478, 1119.257414255,
         6048.315400151, 59763.569649880},
    };
    const Footprint square{{rectangle(0, 0, 10, 10)}};
    for (const Case& c : cases) {
        CAPTURE(c.aspect_deg);
        const RingStretch stretch = on_slope(c.down, c.across, c.aspect_deg);
        const double round_m2 = area_m2(outline_within(square, 1.5));
        CHECK(round_m2 == Approx(167.068583471).epsilon(1e-11));
        const auto within_m2 = [&](double r_m) {
            return area_m2(outline_within(square, r_m, stretch));
        };
        CHECK(within_m2(10) == Approx(c.within_10_m2).epsilon(1e-11)); // 12 digits are given
        CHECK(within_m2(30) == Approx(c.within_30_m2).epsilon(1e-11));
        CHECK(within_m2(100) == Approx(c.within_100_m2).epsilon(1e-11));
        CHECK(within_m2(10) - round_m2 == Approx(c.ring_1_5_10_m2).epsilon(1e-11));
        CHECK(within_m2(30) - within_m2(10) == Approx(c.ring_10_30_m2).epsilon(1e-11));
        CHECK(within_m2(100) - within_m2(30) == Approx(c.ring_30_100_m2).epsilon(1e-11));
    }
}

TEST_CASE("rings reach down r below the wall, r above it and across r beside it")
{
    // Areas of a square cannot tell the egg from its mirror image: its normals come in pairs.
    const Footprint square{{rectangle(0, 0, 10, 10)}};
    struct Case {
        double aspect_deg;
        Point min, max;
    };
    for (const Case& c : {Case{90, {-10, -12}, {35, 22}}, Case{270, {-25, -12}, {20, 22}},
                          Case{0, {-12, -10}, {22, 35}}, Case{180, {-12, -25}, {22, 20}}}) {
        CAPTURE(c.aspect_deg);
        const Box box = bounds(outline_within(square, 10, on_slope(2.5, 1.2, c.aspect_deg)));
        CHECK(box.min == c.min);
        CHECK(box.max == c.max);
    }
}

TEST_CASE("the reach around a point is the box of its outline, at any aspect")
{
    Dice dice{31};
    for (int round = 0; round < 200; ++round) {
        const RingStretch stretch = random_stretch(dice);
        const Footprint roof{{random_convex(dice, 5, 8)}};
        const Box own = bounds(roof);
        const Box reach = reach_around(30, stretch);
        const Box grown = bounds(outline_within(roof, 30, stretch));
        CHECK(grown.min.x == Approx(own.min.x + reach.min.x).epsilon(1e-13));
        CHECK(grown.min.y == Approx(own.min.y + reach.min.y).epsilon(1e-13));
        CHECK(grown.max.x == Approx(own.max.x + reach.max.x).epsilon(1e-13));
        CHECK(grown.max.y == Approx(own.max.y + reach.max.y).epsilon(1e-13));
        CHECK(reach.max.x == Approx(support_m(stretch, 30, {1, 0})).epsilon(1e-13));
    }
    CHECK(reach_around(30).min == Point{-30, -30});
}

TEST_CASE("a convex roof grown by an egg has the mixed area")
{
    Dice dice{20260725};
    for (int round = 0; round < 500; ++round) {
        const Footprint roof{{random_convex(dice, 3 + dice.up_to(12), dice.between(2, 60))}};
        const RingStretch stretch = random_stretch(dice);
        CAPTURE(round);
        for (const double r_m : ring_distances_m)
            check_exact_stretched(roof, r_m, stretch, mixed_area_m2(roof, r_m, stretch));
    }
}

TEST_CASE("factors of 1 give the round ring bit for bit, and nearly 1 nearly it")
{
    Dice dice{77};
    for (int round = 0; round < 50; ++round) {
        const Footprint star{{random_star(dice, 12, 2, 20)}};
        for (const double r_m : ring_distances_m) {
            const Outline level = outline_within(star, r_m);
            const Outline same = outline_within(star, r_m, on_slope(1, 1, dice.between(0, 360)));
            REQUIRE(level.pieces.size() == same.pieces.size());
            for (std::size_t i = 0; i < level.pieces.size(); ++i)
                CHECK(level.pieces[i].start == same.pieces[i].start);
            // An egg so nearly round runs through the halves' algorithm: they differ by
            // r^2 x 1e-13 x a few.
            const double barely = 1 + 1e-13;
            const Outline egg = outline_within(star, r_m, on_slope(barely, 1, round * 7.3));
            CHECK(std::abs(area_m2(egg) / area_m2(level) - 1) < 1e-12);
        }
    }
}

TEST_CASE("an L follows its closed form at any aspect")
{
    // As for a convex outline, but at the reflex corner the moved walls cross at X, short of the
    // egg's arc from one normal to the other: what lies between X and the arc is counted twice.
    const Footprint ell{{{{0, 0}, {20, 0}, {20, 10}, {10, 10}, {10, 20}, {0, 20}}}};
    const Point east{1, 0};
    const Point north{0, 1};
    for (const double aspect_deg : aspects_deg)
        for (const double r_m : {0.5, 2.0}) {
            CAPTURE(aspect_deg);
            CAPTURE(r_m);
            const RingStretch stretch = on_slope(2.5, 1.25, aspect_deg);
            const ByHand egg{stretch, r_m};
            const Point x{support_m(stretch, r_m, east), support_m(stretch, r_m, north)};
            const double kite_m2 = (cross(egg.support(east), x) + cross(x, egg.support(north))) / 2;
            const double twice_m2 = kite_m2 - egg.sector_m2(east, north);
            check_exact_stretched(ell, r_m, stretch, mixed_area_m2(ell, r_m, stretch) - twice_m2);
        }
}

TEST_CASE("the inside of a courtyard shrinks by the supports of its walls")
{
    const Loop outer = rectangle(0, 0, 60, 60);
    const Footprint yard{{outer, reversed(rectangle(12, 14, 48, 44))}};
    for (const double aspect_deg : aspects_deg)
        for (const double r_m : {1.5, 4.0, 12.0, 30.0}) {
            CAPTURE(aspect_deg);
            CAPTURE(r_m);
            const RingStretch stretch = on_slope(2.5, 1.25, aspect_deg);
            const auto h = [&](double x, double y) { return support_m(stretch, r_m, {x, y}); };
            const double wide_m = std::max(36 - h(1, 0) - h(-1, 0), 0.0);
            const double deep_m = std::max(30 - h(0, 1) - h(0, -1), 0.0);
            check_exact_stretched(yard, r_m, stretch,
                                  mixed_area_m2({{outer}}, r_m, stretch) - wide_m * deep_m);
        }
}

TEST_CASE("factors below 1 and downhill vectors of other lengths are refused")
{
    const Footprint square{{rectangle(0, 0, 10, 10)}};
    CHECK_THROWS_AS(outline_within(square, 10, {0.9, 1, {1, 0}}), std::invalid_argument);
    CHECK_THROWS_AS(outline_within(square, 10, {2, std::nan(""), {1, 0}}), std::invalid_argument);
    CHECK_THROWS_AS(outline_within(square, 10, {HUGE_VAL, 1, {1, 0}}), std::invalid_argument);
    CHECK_THROWS_AS(outline_within(square, 10, {2, 1, {1, 1}}), std::invalid_argument);
}

} // namespace fuelring
