// SPDX-License-Identifier: Apache-2.0

// Outlines judged by GEOS: the union of the footprint and one hull of (edge + body) per edge, whose
// arcs are chords. It can only lack what the chords cut off, and that has a closed form.
#include "geometry/offset/capsules.hpp"
#include "unit/geometry/shapes.hpp"

#include <doctest/doctest.h>

#include <string_view>
#include <vector>

namespace fuelring {
namespace {

Outline judged_by_capsules(Footprint f, double r_m, const RingStretch& stretch)
{
    if (stretch.is_round())
        return outline_of_capsules(f, Disc{r_m});
    const SlopeFrame slope{stretch.downhill};
    for (Loop& loop : f.loops)
        for (Point& p : loop)
            p = slope.in(p);
    return outline_of_capsules(f, Egg{r_m, stretch.down, stretch.across});
}

void check_against_capsules(const Footprint& f, double r_m, const RingStretch& stretch = {})
{
    const Outline exact = outline_within(f, r_m, stretch);
    const Outline judge = judged_by_capsules(f, r_m, stretch);
    CHECK(exact.method == OutlineMethod::exact);
    CHECK(judge.method == OutlineMethod::capsules);
    CHECK(worst_imbalance(judge) == 0);
    const double lacking_m2 = area_m2(exact) - area_m2(judge);
    const double rounding_m2 = 1e-9 * area_m2(exact);
    CHECK(lacking_m2 > -rounding_m2);
    CHECK(lacking_m2 < chord_loss_m2(exact, capsule_quadrant_pieces) + rounding_m2);
}

struct Case {
    std::string_view why;
    Footprint footprint;
};

std::vector<Case> concave_cases(Dice& dice)
{
    return {
        {"L", {{{{0, 0}, {20, 0}, {20, 10}, {10, 10}, {10, 20}, {0, 20}}}}},
        {"star", {{random_star(dice, 12, 3, 15)}}},
        {"spiky star", {{random_star(dice, 16, 0.5, 25)}}},
        {"large star", {{random_star(dice, 9, 20, 120)}}},
        {"hamlet", random_hamlet(dice, 3, 9)},
        {"two parts", {{rectangle(0, 0, 10, 8), rectangle(14, 3, 20, 15)}}},
        {"cells", random_cells(dice, 4, 3, false)},
        {"cells that touch, turned", sheared(random_cells(dice, 4, 4, true))},
        {"courtyard", {{rectangle(0, 0, 60, 60), reversed(rectangle(12, 14, 48, 44))}}},
        {"star in a courtyard",
         {{rectangle(-30, -30, 30, 30), reversed(rectangle(-20, -20, 20, 20)),
           random_star(dice, 8, 4, 15)}}},
    };
}

} // namespace

TEST_CASE("outlines of random shapes are the unions of their capsules")
{
    Dice dice{42};
    for (const Case& c : concave_cases(dice))
        for (const double r_m : ring_distances_m) {
            CAPTURE(c.why);
            CAPTURE(r_m);
            check_against_capsules(c.footprint, r_m);
        }
}

TEST_CASE("outlines on slopes are the unions of their edges' hulls")
{
    Dice dice{43};
    for (const Case& c : concave_cases(dice))
        for (const double r_m : {1.5, 10.0, 100.0}) {
            const RingStretch stretch =
                on_slope(dice.between(1, 3), dice.one_in(2) ? 1 : dice.between(1, 2),
                         dice.one_in(3) ? 90 : dice.between(0, 360));
            CAPTURE(c.why);
            CAPTURE(r_m);
            CAPTURE(stretch.down);
            check_against_capsules(c.footprint, r_m, stretch);
        }
}

} // namespace fuelring
