// SPDX-License-Identifier: Apache-2.0
#include "support/fuel_fixtures.hpp"
#include "unit/library/refused.hpp"

#include <fuelring/outline.hpp>
#include <fuelring/repair.hpp>

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <random>

using namespace fuelring;
using namespace fuelring::test;

namespace {

Loop box(double x0, double y0, double x1, double y1)
{
    return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}};
}

Loop turned(Loop loop)
{
    std::reverse(loop.begin(), loop.end());
    return loop;
}

Refused footprint_row(std::string_view why, Footprint footprint, std::string_view says)
{
    return {why, [footprint] { require_valid(footprint); }, says};
}

} // namespace

TEST_CASE("a footprint that breaks its law is refused with the loop and the place")
{
    const Loop bow{{0, 0}, {10, 10}, {10, 0}, {0, 10}};
    const Loop pentagram{{0, 10}, {-6, -8}, {9.5, 3}, {-9.5, 3}, {6, -8}};
    const Refused rows[] = {
        footprint_row("empty", {}, "footprint: it has no loops"),
        footprint_row("an empty loop", {{{}}}, "loop 0 at (0, 0): fewer than three vertices"),
        footprint_row("two vertices", {{box(0, 0, 9, 9), {{1, 2}, {3, 4}}}},
                      "loop 1 at (1, 2): fewer than three"),
        footprint_row("NaN", {{{{0, 0}, {10, not_a_number}, {5, 9}}}},
                      "loop 0 at (10, nan): a coordinate"),
        footprint_row("infinite", {{{{0, 0}, {infinite, 0}, {5, 9}}}}, "not finite or too far off"),
        footprint_row("beyond reach", {{{{0, 0}, {2e9, 0}, {5, 9}}}}, "too far off"),
        footprint_row("closed by a repeated vertex", {{{{0, 0}, {5, 0}, {5, 9}, {0, 0}}}},
                      "a vertex is repeated"),
        footprint_row("a spike", {{{{0, 0}, {10, 0}, {10, 5}, {10, 20}, {10, 5}, {0, 5}}}},
                      "folds back"),
        footprint_row("clockwise", {{turned(box(0, 0, 9, 9))}}, "no shell contains it"),
        footprint_row("a bow", {{bow}}, "times: parts overlap or an outline crosses itself"),
        footprint_row("left turns only, twice round", {{pentagram}}, "are enclosed 2 times"),
        footprint_row("overlapping shells", {{box(0, 0, 10, 10), box(5, 5, 15, 15)}},
                      "25 m2 about (7.5, 7.5) are enclosed 2 times"),
        footprint_row("overlapping along a wall", {{box(0, 0, 10, 10), box(5, 0, 15, 10)}},
                      "50 m2 about (7.5, 5) are enclosed 2 times"),
        footprint_row("the same twice", {{box(0, 0, 10, 10), box(0, 0, 10, 10)}},
                      "enclosed 2 times"),
        footprint_row("a shell in a shell", {{box(0, 0, 10, 10), box(2, 2, 5, 5)}},
                      "loop 1 at (2, 2): it lies in another one"),
        footprint_row("a hole outside", {{box(0, 0, 10, 10), turned(box(20, 0, 25, 5))}},
                      "loop 1 at (20, 5): it runs clockwise"),
        footprint_row("a hole over the wall", {{box(0, 0, 10, 10), turned(box(5, 2, 15, 5))}},
                      "enclosed -1 times"),
    };
    check_refused(rows);
}

TEST_CASE("a footprint whose parts only touch keeps its law")
{
    const Footprint good[] = {
        {{box(0, 0, 10, 10)}},
        {{box(0, 0, 10, 10), box(10, 10, 20, 20)}},                          // at a corner
        {{box(0, 0, 10, 10), box(10, 0, 20, 10)}},                           // a shared wall
        {{box(0, 0, 30, 30), turned(box(5, 5, 25, 25)), box(9, 9, 15, 15)}}, // in a courtyard
        {{box(0, 0, 30, 30), turned({{0, 10}, {10, 5}, {10, 15}})}}, // a courtyard at the wall
        {{{{0, 0}, {10, 0}, {5, 5}, {10, 10}, {0, 10}, {5, 5}}}},    // an outline at itself
        {{{{0, 0}, {10, 0}, {5e-10, 5}, {10, 10}, {0, 10}, {-5e-10, 5}}}}, // narrower than counts
    };
    for (const Footprint& footprint : good) {
        CAPTURE(footprint.loops.size());
        CHECK_NOTHROW(require_valid(footprint));
    }
    std::mt19937_64 rng{20261129};
    for (int k = 0; k < 200; ++k) // never convex for long
        CHECK_NOTHROW(require_valid(random_star(rng, 5 + k % 40, 2, 20)));
}

TEST_CASE("overlapping parts are measured once they are repaired, and refused before")
{
    const std::vector<RawPolygon> parts{{{box(0, 0, 10, 10)}}, {{box(5, 5, 15, 15)}}};
    const RepairedFootprint clean = repaired(parts);
    CHECK(clean.overlap_m2 == doctest::Approx(25));
    CHECK(clean.crossed_parts == 0);
    CHECK(area_m2(clean.footprint) == doctest::Approx(175));
    CHECK(contains(clean.footprint, clean.inside));
    // P r + six quarter discs - two squares of r where walls meet inwards; P = 60, r = 1.5.
    const double ring_m2 = 60 * 1.5 + 6 * std::numbers::pi / 4 * 1.5 * 1.5 - 2 * 1.5 * 1.5;
    CHECK(area_m2(outline_within(clean.footprint, 1.5)) - area_m2(clean.footprint) ==
          doctest::Approx(ring_m2).epsilon(1e-12));
    CHECK_THROWS_AS(outline_within({{parts[0].loops[0], parts[1].loops[0]}}, 1.5),
                    std::invalid_argument);
}

TEST_CASE("a repair says what it did, and there is nothing to repair afterwards")
{
    struct Case {
        std::string_view why;
        std::vector<RawPolygon> parts;
        double area_m2;
        std::size_t crossed;
        double overlap_m2;
    };
    const Case cases[] = {
        {"nothing to do", {{{box(0, 0, 10, 10)}}}, 100, 0, 0},
        {"clockwise, closed, a vertex twice",
         {{{{{0, 0}, {0, 0}, {0, 10}, {10, 10}, {10, 0}, {0, 0}}}}},
         100,
         0,
         0},
        {"a bow: both triangles", {{{{{0, 0}, {10, 10}, {10, 0}, {0, 10}}}}}, 50, 1, 0},
        {"a courtyard", {{{box(0, 0, 10, 10), box(2, 2, 4, 4)}}}, 96, 0, 0},
        {"rooms with a wall in common", {{{box(0, 0, 10, 10)}}, {{box(10, 0, 20, 10)}}}, 200, 0, 0},
        {"the same twice", {{{box(0, 0, 10, 10)}}, {{box(0, 0, 10, 10)}}}, 100, 0, 100},
        {"no area", {{{{{0, 0}, {5, 5}, {9, 9}}}}, {{{}}}, {{}}}, 0, 1, 0},
        {"nothing", {}, 0, 0, 0},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const RepairedFootprint clean = repaired(c.parts);
        CHECK(area_m2(clean.footprint) == doctest::Approx(c.area_m2));
        CHECK(clean.crossed_parts == c.crossed);
        CHECK(clean.overlap_m2 == doctest::Approx(c.overlap_m2));
        if (c.area_m2 == 0) {
            CHECK(clean.footprint.loops.empty());
            continue;
        }
        CHECK_NOTHROW(require_valid(clean.footprint));
        CHECK(contains(clean.footprint, clean.inside));
    }
    const Refused rows[] = {
        {"NaN",
         [] {
             (void)repaired({{{{{0, 0}, {1, not_a_number}, {2, 3}}}}});
         },
         "repaired: a coordinate"},
        {"too far",
         [] {
             (void)repaired({{{{{0, 0}, {1, 2e9}, {2, 3}}}}});
         },
         "too far off"},
        {"NaN",
         [] {
             (void)normalised({{{{0, 0}, {1, not_a_number}, {2, 3}}, false}});
         },
         "normalised: a"},
    };
    check_refused(rows);
}

TEST_CASE("random loops are refused or measured, and always measured once they are repaired")
{
    std::mt19937_64 rng{7};
    std::uniform_int_distribution<int> place{0, 8}; // a small lattice: touching is common
    int refused = 0;
    for (int k = 0; k < 400; ++k) {
        CAPTURE(k);
        std::vector<RawPolygon> parts(static_cast<std::size_t>(1 + k % 3));
        std::vector<RawLoop> loops;
        for (RawPolygon& part : parts) {
            Loop& loop = part.loops.emplace_back();
            for (int v = 0; v < 3 + k % 5; ++v)
                loop.push_back({static_cast<double>(place(rng)), static_cast<double>(place(rng))});
            loops.push_back({loop, false});
        }
        const RepairedFootprint clean = repaired(parts);
        if (clean.footprint.loops.empty())
            continue;
        REQUIRE_NOTHROW(require_valid(clean.footprint));
        const double within_m2 = area_m2(outline_within(clean.footprint, 1));
        try {
            const Footprint raw = normalised(loops);
            const double raw_m2 = area_m2(outline_within(raw, 1));
            // What is not refused is right: it covers what its repair covers.
            CHECK(area_m2(raw) == doctest::Approx(area_m2(clean.footprint)));
            CHECK(raw_m2 == doctest::Approx(within_m2));
        } catch (const std::invalid_argument&) {
            ++refused;
        }
    }
    CHECK(refused > 100);
    CHECK(refused < 380);
}

TEST_CASE("an outline is asked for with a distance and a stretch that can be drawn")
{
    const Footprint house{{box(0, 0, 10, 10)}};
    const auto with = [&house](double r_m, RingStretch stretch) {
        return [&house, r_m, stretch] { (void)outline_within(house, r_m, stretch); };
    };
    const Refused rows[] = {
        {"no distance", with(0, {}), "the distance must be above 0"},
        {"below 0", with(-1, {}), "the distance must be above 0"},
        {"NaN", with(not_a_number, {}), "the distance must be above 0"},
        {"endless", with(infinite, {}), "and finite"},
        {"inwards", with(10, {0.5, 1, {1, 0}}), "factors of a stretch are at least 1"},
        {"NaN across", with(10, {1, not_a_number, {1, 0}}), "factors of a stretch"},
        {"no direction", with(10, {2, 1, {0, 0}}), "downhill is a unit vector"},
        {"NaN direction", with(10, {2, 1, {not_a_number, 0}}), "downhill is a unit vector"},
        {"too long downhill", with(10, {1e9, 1, {1, 0}}), "the stretched distance"},
        {"reach", [] { (void)reach_around(not_a_number); }, "the distance must be above 0"},
        {"reach",
         [] {
             (void)reach_around(1, {1, 0, {1, 0}});
         },
         "factors of a stretch"},
    };
    check_refused(rows);
}

TEST_CASE("an outline made by hand is refused unless it closes and its arcs end where they say")
{
    const Outline good = outline_within({{box(0, 0, 10, 10)}}, 3);
    CHECK_NOTHROW(require_valid(good));
    const auto changed = [&good](auto&& change) {
        Outline outline = good;
        change(outline.pieces);
        return [outline] { require_valid(outline); };
    };
    using Pieces = std::vector<Piece>;
    const auto arc = [](Pieces& pieces) -> Piece& {
        return *std::find_if(pieces.begin(), pieces.end(), [](const Piece& p) { return p.arc; });
    };
    const Refused rows[] = {
        {"no pieces", changed([](Pieces& p) { p.clear(); }), "do not close"},
        {"one is missing", changed([](Pieces& p) { p.pop_back(); }), "do not close"},
        {"one appears twice", changed([](Pieces& p) { p.push_back(p.front()); }), "do not close"},
        {"NaN", changed([](Pieces& p) { p.front().start.x = not_a_number; }),
         "a piece is not finite"},
        {"another radius", changed([&](Pieces& p) { arc(p).u = 2 * arc(p).u; }), "an arc"},
        {"another end", changed([&](Pieces& p) { arc(p).t1 += 1; }), "an arc"},
        {"backwards", changed([&](Pieces& p) { std::swap(arc(p).t0, arc(p).t1); }), "an arc"},
        {"endless", changed([&](Pieces& p) { arc(p).t1 = infinite; }), "an arc"},
        {"no centre", changed([&](Pieces& p) { arc(p).centre.y = not_a_number; }), "an arc"},
    };
    check_refused(rows);
}
