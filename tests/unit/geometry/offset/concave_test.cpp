// SPDX-License-Identifier: Apache-2.0
#include "unit/geometry/shapes.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string_view>

namespace fuelring {
namespace {

using doctest::Approx;

/// Every corner of right angles adds a quarter disc where it is convex and takes off a square of r
/// where it is reflex, as long as pieces that do not meet at a corner do not meet at all.
double right_angled_m2(const Footprint& f, int convex, int reflex, double r_m)
{
    return area_m2(f) + perimeter_m(f) * r_m + (convex * pi / 4 - reflex) * r_m * r_m;
}

double lens_m2(double r_m, double apart_m)
{
    return 2 * r_m * r_m * std::acos(apart_m / (2 * r_m)) -
           apart_m / 2 * std::sqrt(4 * r_m * r_m - apart_m * apart_m);
}

void check_exact(const Footprint& f, double r_m, double expected_m2)
{
    const Outline o = outline_within(f, r_m);
    CHECK(o.method == OutlineMethod::exact);
    CHECK(area_m2(o) == Approx(expected_m2).epsilon(1e-12));
    CHECK(worst_imbalance(o) == 0);
}

const Loop ell{{0, 0}, {20, 0}, {20, 10}, {10, 10}, {10, 20}, {0, 20}};
const Loop plus{{10, 0},  {20, 0},  {20, 10}, {30, 10}, {30, 20}, {20, 20},
                {20, 30}, {10, 30}, {10, 20}, {0, 20},  {0, 10},  {10, 10}};

} // namespace

TEST_CASE("an L has the areas of its closed form")
{
    CHECK(area_m2(outline_within({{ell}}, 1.5)) == Approx(426.585729338).epsilon(1e-11));
    CHECK(area_m2(outline_within({{ell}}, 10)) == Approx(1392.699081699).epsilon(1e-11));
}

TEST_CASE("right-angled outlines follow their corners, at any angle to the grid")
{
    struct Case {
        std::string_view why;
        Footprint footprint;
        int convex;
        int reflex;
    };
    const Case cases[] = {
        {"one reflex corner", {{ell}}, 5, 1},
        {"a cross", {{plus}}, 8, 4},
        {"the same turned", {{turned(plus, 0.7)}}, 8, 4},
        {"squares that touch in a point",
         {{rectangle(0, 0, 10, 10), rectangle(10, 10, 20, 20)}},
         6,
         2},
        {"the same turned",
         {{turned(rectangle(0, 0, 10, 10), 1.1), turned(rectangle(10, 10, 20, 20), 1.1)}},
         6,
         2},
        {"the same as one loop that touches itself",
         {{{{0, 0}, {10, 0}, {10, 10}, {20, 10}, {20, 20}, {10, 20}, {10, 10}, {0, 10}}}},
         6,
         2},
        {"two squares far apart", {{rectangle(0, 0, 10, 10), rectangle(50, 3, 60, 13)}}, 8, 0},
    };
    for (const Case& c : cases)
        for (const double r_m : {0.25, 1.5, 4.0, 9.5}) {
            CAPTURE(c.why);
            CAPTURE(r_m);
            check_exact(c.footprint, r_m, right_angled_m2(c.footprint, c.convex, c.reflex, r_m));
        }
}

TEST_CASE("a part may touch the middle of a wall, at a vertex of it or not")
{
    const Loop diamond{{10, 0}, {15, 5}, {10, 10}, {5, 5}};
    const Loop split_wall{{0, -10}, {20, -10}, {20, 0}, {10, 0}, {0, 0}};
    for (const Loop& wall : {split_wall, rectangle(0, -10, 20, 0)})
        for (const bool diamond_first : {false, true})
            for (const double r_m : {0.5, 1.5, 2.5}) {
                CAPTURE(wall.size());
                CAPTURE(r_m);
                const Footprint f =
                    diamond_first ? Footprint{{diamond, wall}} : Footprint{{wall, diamond}};
                // Seven convex corners, and two reflex ones that turn by 135 degrees.
                const double corners = 7 * pi / 4 - 2 * std::tan(3 * pi / 8);
                check_exact(f, r_m, area_m2(f) + perimeter_m(f) * r_m + corners * r_m * r_m);
            }
}

TEST_CASE("a comb of 2,000 vertices follows its corners too")
{
    constexpr int teeth = 500;
    Loop comb;
    for (int k = teeth - 1; k >= 0; --k) {
        const double x = 10.0 * k;
        for (const Point p : {Point{x + 4, 0}, Point{x + 4, 8}, Point{x, 8}, Point{x, 0}})
            comb.push_back(p);
    }
    comb.back().y = -5; // the first tooth's left side and the last one's right side go to the foot
    comb.front().y = -5;
    for (const double angle : {0.0, 0.6}) {
        const Footprint f{{turned(comb, angle)}};
        for (const double r_m : {1.5, 2.9}) {
            CAPTURE(r_m);
            const double expected_m2 = right_angled_m2(f, 2 * teeth + 2, 2 * teeth - 2, r_m);
            const Outline o = outline_within(f, r_m);
            CHECK(area_m2(o) == Approx(expected_m2).epsilon(1e-11)); // 5 km of coordinates
            CHECK(o.method == OutlineMethod::exact);
            CHECK(worst_imbalance(o) == 0);
        }
    }
}

TEST_CASE("the inside of a courtyard shrinks and is gone when r exceeds half its width")
{
    for (const double angle : {0.0, 0.4}) {
        const Footprint f{{turned(rectangle(0, 0, 40, 40), angle),
                           reversed(turned(rectangle(10, 10, 30, 26), angle))}};
        for (const double r_m : {1.5, 7.0, 7.999, 8.0, 8.001, 10.0, 30.0, 100.0}) {
            CAPTURE(r_m);
            const double yard_m2 = r_m < 8 ? (20 - 2 * r_m) * (16 - 2 * r_m) : 0;
            check_exact(f, r_m, 1600 + 160 * r_m + pi * r_m * r_m - yard_m2);
        }
    }
}

TEST_CASE("two houses side by side share a lens over either end of the gap")
{
    const Footprint f{{rectangle(0, 0, 10, 10), rectangle(14, 0, 24, 10)}};
    const auto one_m2 = [](double r_m) { return 100 + 40 * r_m + pi * r_m * r_m; };
    check_exact(f, 1.5, 2 * one_m2(1.5));
    check_exact(f, 2, 2 * one_m2(2)); // a gap of exactly 2 r: they touch along a line
    for (const double r_m : {2.001, 3.0, 4.0}) {
        CAPTURE(r_m);
        check_exact(f, r_m, 2 * one_m2(r_m) - 10 * (2 * r_m - 4) - lens_m2(r_m, 4));
    }
}

TEST_CASE("a pocket exactly 2 r wide fills up")
{
    const Footprint u{{{{0, 0}, {9, 0}, {9, 10}, {6, 10}, {6, 4}, {3, 4}, {3, 10}, {0, 10}}}};
    // The grown rectangle of 9 x 10 less what the two quarter discs leave free above the pocket.
    const double free_m2 = 3 * 1.5 - pi * 1.5 * 1.5 / 2;
    check_exact(u, 1.5, 90 + 38 * 1.5 + pi * 1.5 * 1.5 - free_m2);
}

TEST_CASE("a wall dented by less than any tolerance closes exactly")
{
    // Turn -5e-7 in the middle of the wall: reflex. Its tails overlap by 1e-12 m or less.
    const Loop dented{{0, 0}, {10, 2.5e-6}, {20, 0}, {20, 10}, {0, 10}};
    const Footprint f{{dented}};
    for (const double r_m : ring_distances_m) {
        CAPTURE(r_m);
        // The corner takes off tan(a/2) r^2 where a/2 r^2 more of arcs stand elsewhere.
        check_exact(f, r_m, area_m2(f) + perimeter_m(f) * r_m + pi * r_m * r_m);
        CHECK(closure_error_m(outline_within(f, r_m)) < 1e-9);
    }
}

TEST_CASE("moving a drawn outline by whole metres moves its pieces and changes nothing else")
{
    const Footprint shapes[] = {{{ell}},
                                {{plus}},
                                {{rectangle(0, 0, 40, 40), reversed(rectangle(10, 10, 30, 26))}},
                                {{rectangle(0, 0, 10, 10), rectangle(10, 10, 20, 20)}}};
    const Point by{37, -112};
    for (const Footprint& f : shapes)
        for (const double r_m : {1.5, 4.0}) {
            const Outline here = outline_within(f, r_m);
            const Outline there = outline_within(moved(f, by), r_m);
            REQUIRE(here.pieces.size() == there.pieces.size());
            for (std::size_t i = 0; i < here.pieces.size(); ++i) {
                const Piece& p = here.pieces[i];
                const Piece& q = there.pieces[i];
                CHECK(p.start + by == q.start);
                CHECK(p.end + by == q.end);
                CHECK(p.arc == q.arc);
                CHECK(p.t0 == q.t0);
                CHECK(p.t1 == q.t1);
                CHECK((!p.arc || p.centre + by == q.centre));
            }
        }
}

} // namespace fuelring
