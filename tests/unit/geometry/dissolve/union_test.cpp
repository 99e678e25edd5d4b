// SPDX-License-Identifier: Apache-2.0

// The union of many structures' surroundings, as the sum of what each adds to those before it.
// The judges: the outline of all of them taken as one footprint, and GEOS's union of capsules.
#include "geometry/dissolve/union_by_geos.hpp"
#include "geometry/offset/capsules.hpp"
#include "village.hpp"

#include <doctest/doctest.h>

#include <array>
#include <string_view>

namespace fuelring {

TEST_CASE("what each house of a hamlet adds makes up what lies within r of the hamlet")
{
    Dice dice{7};
    int trials = 0;
    for (int trial = 0; trial < 50; ++trial) {
        const Footprint hamlet = random_hamlet(dice, 2 + trial % 4, 9 + trial % 5);
        const Village village{hamlet};
        for (const double r_m : ring_distances_m) {
            CAPTURE(trial);
            CAPTURE(r_m);
            const Outline together = outline_within(hamlet, r_m);
            const Sum sum = united(village, r_m);
            CHECK(sum.not_exact == 0);
            CHECK(sum.worst_closure_m < 1e-9);
            CHECK(std::abs(sum.area_m2 - area_m2(together)) < 1e-12 * area_m2(together));
            if (trial < 5) {
                // The judge lacks what its chords cut off, and nothing else.
                const double lacking =
                    sum.area_m2 - area_m2(outline_of_capsules(hamlet, Disc{r_m}));
                CHECK(lacking > -1e-9 * sum.area_m2);
                CHECK(lacking <
                      chord_loss_m2(together, capsule_quadrant_pieces) + 1e-9 * sum.area_m2);
            }
            ++trials;
        }
    }
    CHECK(trials == 200);
}

TEST_CASE("walls in one line, shared walls, touching corners and copies are counted once")
{
    struct Case {
        std::string_view why;
        std::vector<Loop> houses;
        double area_m2;      ///< of their union
        double perimeter_m2; ///< of its convex outline, so that Steiner's formula gives the rest
    };
    const Case cases[] = {
        {"a row of four",
         {rectangle(0, 0, 10, 8), rectangle(10, 0, 16, 8), rectangle(16, 0, 31, 8),
          rectangle(31, 0, 40, 8)},
         320,
         96},
        {"in another order",
         {rectangle(16, 0, 31, 8), rectangle(31, 0, 40, 8), rectangle(0, 0, 10, 8),
          rectangle(10, 0, 16, 8)},
         320,
         96},
        {"four about one corner",
         {rectangle(0, 0, 9, 9), rectangle(9, 9, 20, 20), rectangle(0, 9, 9, 20),
          rectangle(9, 0, 20, 9)},
         400,
         80},
        {"three copies",
         {rectangle(3, 3, 13, 13), rectangle(3, 3, 13, 13), rectangle(3, 3, 13, 13)},
         100,
         40},
        {"one inside another", {rectangle(4, 4, 6, 6), rectangle(0, 0, 10, 10)}, 100, 40},
        {"overlapping", {rectangle(0, 0, 10, 10), rectangle(6, 0, 20, 10)}, 200, 60},
        {"a wall that is split on one side only",
         {rectangle(0, 0, 10, 5), rectangle(0, 5, 4, 10), rectangle(4, 5, 10, 10)},
         100,
         40},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        Village village;
        for (const Loop& loop : c.houses)
            village.add({{loop}});
        for (const double r_m : {0.0, 1.5, 10.0, 30.0, 100.0}) {
            CAPTURE(r_m);
            const Sum sum = united(village, r_m);
            const double exact_m2 = c.area_m2 + c.perimeter_m2 * r_m + pi * r_m * r_m;
            CHECK(sum.not_exact == 0);
            CHECK(std::abs(sum.area_m2 - exact_m2) < 1e-12 * exact_m2);
        }
    }
}

TEST_CASE("terraces whose walls miss each other by what files round to are united all the same")
{
    // Vertices of a turned terrace, each house rounded on its own to 2^-30 m or shaken by up to
    // 1e-8 m: walls in one line and shared walls agree to that only.
    Dice dice{31};
    int regions = 0;
    int not_exact = 0;
    for (int trial = 0; trial < 60; ++trial) {
        const double angle = dice.between(0, 2 * pi);
        const double shake_m = std::pow(10, -8 - trial % 6);
        Village village;
        for (int k = 0; k < 6; ++k) {
            Loop house = turned(rectangle(7 * k, 0, 7 * k + 7, 9), angle);
            for (Point& p : house)
                if (trial % 6 == 5)
                    p = {std::ldexp(std::round(std::ldexp(p.x, 30)), -30),
                         std::ldexp(std::round(std::ldexp(p.y, 30)), -30)};
                else
                    p = p + Point{dice.between(-shake_m, shake_m), dice.between(-shake_m, shake_m)};
            village.add({{house}});
        }
        for (const double r_m : {0.0, 1.5, 10.0, 100.0}) {
            CAPTURE(trial);
            CAPTURE(r_m);
            const Sum sum = united(village, r_m);
            regions += static_cast<int>(village.size());
            not_exact += sum.not_exact;
            // Where the exact pieces do not close, r (1 + 1e-9) may stand in.
            const double exact_m2 = 42 * 9 + 102 * r_m + pi * r_m * r_m;
            const double slack_m2 =
                (102 + 2 * pi * r_m) * (2e-8 + 1e-9 * r_m * sum.not_exact) + 7 * 9 * 2e-8;
            CHECK(std::abs(sum.area_m2 - exact_m2) < slack_m2);
            CHECK(sum.worst_closure_m < 1e-9);
        }
    }
    CAPTURE(not_exact);
    CHECK(regions == 60 * 4 * 6);
    CHECK(not_exact > 0); // the ways out are taken
    CHECK(not_exact * 10 < regions);
}

TEST_CASE("houses on a drawn lattice, all touching or exactly 2 r apart, are united")
{
    Dice dice{11};
    int not_exact = 0;
    int regions = 0;
    for (int trial = 0; trial < 40; ++trial) {
        // Every cell a house of its own, walls shared; the judge is the outline of all cells.
        const Footprint cells = random_cells(dice, 5, 5, true);
        Village village;
        for (int row = 0; row < 5; ++row)
            for (int col = 0; col < 5; ++col)
                if (const Point middle{5 * col + 2.5, 5 * row + 2.5}; contains(cells, middle))
                    village.add({{rectangle(5 * col, 5 * row, 5 * col + 5, 5 * row + 5)}});
        CHECK(std::abs(united(village, 0).area_m2 - area_m2(cells)) < 1e-10);
        for (const double r_m : {1.5, 2.5, 5.0, 7.5, 10.0, 30.0}) {
            CAPTURE(trial);
            CAPTURE(r_m);
            const Sum sum = united(village, r_m);
            not_exact += sum.not_exact;
            regions += static_cast<int>(village.size());
            const double exact_m2 = area_m2(outline_within(cells, r_m));
            // r (1 + 1e-9) moves at most each outline by 1e-9 r.
            const double nudged_m2 = sum.not_exact * 1e-9 * r_m * (20 + 2 * pi * r_m);
            CHECK(std::abs(sum.area_m2 - exact_m2) < 1e-12 * exact_m2 + nudged_m2);
        }
    }
    CHECK(regions > 2000);
    CHECK(not_exact * 100 < regions);
}

} // namespace fuelring
