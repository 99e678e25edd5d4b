// SPDX-License-Identifier: Apache-2.0
#include "geometry/box_distance.hpp"
#include "unit/geometry/shapes.hpp"

#include <doctest/doctest.h>

#include <stdexcept>

namespace fuelring {

TEST_CASE("a footprint is oriented, shells counter-clockwise and holes clockwise")
{
    const Footprint f =
        normalised({{reversed(rectangle(0, 0, 10, 10)), false}, {rectangle(2, 2, 4, 5), true}});
    REQUIRE(f.loops.size() == 2);
    CHECK(area_m2(Footprint{{f.loops[0]}}) == 100);
    CHECK(area_m2(Footprint{{f.loops[1]}}) == -6);
    CHECK(area_m2(f) == 94);
    CHECK(perimeter_m(f) == 50);
}

TEST_CASE("repeated vertices are dropped, the closing one included")
{
    const Loop raw{{0, 0}, {0, 0}, {10, 0}, {10, 1e-10}, {10, 10}, {0, 10}, {0, 0}};
    const Footprint f = normalised({{raw, false}});
    REQUIRE(f.loops.size() == 1);
    CHECK(f.loops[0] == rectangle(0, 0, 10, 10));
}

TEST_CASE("loops without area are dropped, and an empty footprint has empty bounds")
{
    const Footprint f = normalised({{{{0, 0}, {5, 5}}, false},
                                    {{{0, 0}, {5, 5}, {10, 10}}, false},
                                    {{{0, 0}, {9, 0}, {9, 9}, {9, 0}}, false}, // there and back
                                    {{{1, 1}, {1, 1}, {1, 1}}, false}});
    CHECK(f.loops.empty());
    CHECK(bounds(f).min.x > bounds(f).max.x);
    CHECK(area_m2(f) == 0);
}

TEST_CASE("a loop whose areas cancel has some, and is kept to be refused or repaired")
{
    const Loop eight{{0, 0}, {10, 10}, {10, 0}, {0, 10}};
    const Footprint f = normalised({{eight, false}});
    REQUIRE(f.loops.size() == 1);
    CHECK(area_m2(f) == 0);
    CHECK_THROWS_AS(require_valid(f), std::invalid_argument);
}

TEST_CASE("a courtyard is outside, and a vertex level with the point counts once")
{
    Footprint f{{rectangle(0, 0, 10, 10), reversed(rectangle(3, 3, 7, 7))}};
    CHECK(contains(f, {1, 5}));
    CHECK(contains(f, {1, 3}));
    CHECK(contains(f, {8, 7}));
    CHECK_FALSE(contains(f, {5, 5}));
    CHECK_FALSE(contains(f, {-1, 3}));
    CHECK_FALSE(contains(f, {11, 7}));
    const Footprint diamond{{{{0, -5}, {5, 0}, {0, 5}, {-5, 0}}}};
    CHECK(contains(diamond, {0, 0}));
    CHECK_FALSE(contains(diamond, {-6, 0}));
    CHECK(bounds(diamond).min == Point{-5, -5});
    CHECK(bounds(diamond).max == Point{5, 5});
}

TEST_CASE("an edge that is one point is as far away as the point")
{
    CHECK(squared_distance(Point{3, 4}, Point{0, 0}, Point{0, 0}) == 25);
    CHECK(squared_distance(Point{3, 4}, Point{0, 0}, Point{9, 0}) == 16);
    CHECK(squared_distance(Point{-1, 0}, Point{0, 0}, Point{9, 0}) == 1); // beyond its end
    CHECK(squared_distance(Point{5, 2}, Point{5, 2}, Box{{0, 0}, {1, 2}}) == 16);
    CHECK(squared_distance(Point{1, 1}, Point{1, 1}, Box{{0, 0}, {2, 2}}) == 0);
}

} // namespace fuelring
