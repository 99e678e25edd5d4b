// SPDX-License-Identifier: Apache-2.0
#include "unit/geometry/shapes.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>

namespace fuelring {
namespace {

using doctest::Approx;

// Source: Steiner's formula; Santalo, Integral Geometry and Geometric Probability, 1976 (from
// memory).
double steiner_m2(const Footprint& f, double r_m)
{
    return area_m2(f) + perimeter_m(f) * r_m + pi * r_m * r_m;
}

} // namespace

TEST_CASE("a convex roof grown by r gains P r + pi r^2")
{
    Dice dice{20130803};
    for (int round = 0; round < 500; ++round) {
        const Footprint roof{{random_convex(dice, 3 + dice.up_to(12), dice.between(2, 60))}};
        CAPTURE(round);
        for (const double r_m : ring_distances_m) {
            CAPTURE(r_m);
            const Outline outline = outline_within(roof, r_m);
            CHECK(outline.method == OutlineMethod::exact);
            CHECK(std::abs(area_m2(outline) / steiner_m2(roof, r_m) - 1) < 1e-12);
            CHECK(worst_imbalance(outline) == 0);
        }
    }
}

TEST_CASE("the rings of a square of 10 m have the areas of the closed form")
{
    struct Case {
        double r_m;
        double ring_m2; // 40 (r1 - r0) + pi (r1^2 - r0^2)
    };
    const Footprint square{{rectangle(0, 0, 10, 10)}};
    double inner_m2 = area_m2(outline_of(square));
    CHECK(inner_m2 == 100);
    for (const Case& c : {Case{1.5, 67.068583471}, Case{10, 647.090681888},
                          Case{30, 3313.274122872}, Case{100, 31388.493147666}}) {
        CAPTURE(c.r_m);
        const double outer_m2 = area_m2(outline_within(square, c.r_m));
        CHECK(outer_m2 - inner_m2 == Approx(c.ring_m2).epsilon(1e-11));
        inner_m2 = outer_m2;
    }
}

TEST_CASE("walls along the axes move by exactly r")
{
    const Outline o = outline_within({{rectangle(3, 5, 13, 11)}}, 1.5);
    REQUIRE(o.pieces.size() == 8);
    CHECK(o.pieces[0].start == Point{3, 3.5});
    CHECK(o.pieces[0].end == Point{13, 3.5});
    CHECK(o.pieces[2].start == Point{14.5, 5});
    CHECK(o.pieces[2].end == Point{14.5, 11});
    CHECK(o.pieces[4].start == Point{13, 12.5});
    CHECK(o.pieces[6].start == Point{1.5, 11});
    CHECK(bounds(o).min == Point{1.5, 3.5});
    CHECK(bounds(o).max == Point{14.5, 12.5});
}

TEST_CASE("neighbouring pieces share their ends bit for bit, and arcs run from t0 to t1")
{
    Dice dice{7};
    const Footprint roof{{random_convex(dice, 9, 12)}};
    const Outline o = outline_within(roof, 30);
    for (std::size_t i = 0; i < o.pieces.size(); ++i) {
        const Piece& p = o.pieces[i];
        CHECK(p.end == o.pieces[(i + 1) % o.pieces.size()].start);
        if (!p.arc)
            continue;
        CHECK(p.t1 > p.t0);
        CHECK(p.u == Point{30, 0});
        CHECK(p.v == Point{0, 30});
        const Point start = p.centre + std::cos(p.t0) * p.u + std::sin(p.t0) * p.v;
        const Point end = p.centre + std::cos(p.t1) * p.u + std::sin(p.t1) * p.v;
        CHECK(std::hypot(start.x - p.start.x, start.y - p.start.y) < 1e-13 * 30);
        CHECK(std::hypot(end.x - p.end.x, end.y - p.end.y) < 1e-13 * 30);
    }
}

TEST_CASE("the bounds of a turned roof reach r beyond its own")
{
    Dice dice{11};
    for (int round = 0; round < 100; ++round) {
        const Footprint roof{{random_convex(dice, 5, 15)}};
        const Box own = bounds(roof);
        const Box grown = bounds(outline_within(roof, 10));
        CHECK(grown.min.x == Approx(own.min.x - 10).epsilon(1e-14));
        CHECK(grown.min.y == Approx(own.min.y - 10).epsilon(1e-14));
        CHECK(grown.max.x == Approx(own.max.x + 10).epsilon(1e-14));
        CHECK(grown.max.y == Approx(own.max.y + 10).epsilon(1e-14));
    }
}

TEST_CASE("a needle and a wall with vertices along it still follow Steiner")
{
    const Footprint needle{{{{0, 0}, {40, 0}, {40, 1e-6}}}};
    Loop wall = rectangle(0, 0, 20, 8);
    for (int i = 1; i < 8; ++i)
        wall.insert(wall.begin() + i, Point{20.0 * i / 8 + 0.1, 0});
    for (const Footprint& roof : {needle, Footprint{{wall}}, Footprint{{turned(wall, 0.3)}}})
        for (const double r_m : ring_distances_m)
            CHECK(std::abs(area_m2(outline_within(roof, r_m)) / steiner_m2(roof, r_m) - 1) < 1e-12);
}

TEST_CASE("a distance that is not above 0 and an empty footprint are refused")
{
    const Footprint square{{rectangle(0, 0, 10, 10)}};
    CHECK_THROWS_AS(outline_within(square, 0), std::invalid_argument);
    CHECK_THROWS_AS(outline_within(square, -1), std::invalid_argument);
    CHECK_THROWS_AS(outline_within(square, std::nan("")), std::invalid_argument);
    CHECK_THROWS_AS(outline_within(square, HUGE_VAL), std::invalid_argument);
    CHECK_THROWS_AS(outline_within({}, 10), std::invalid_argument);
}

} // namespace fuelring
