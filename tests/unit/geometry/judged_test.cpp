// SPDX-License-Identifier: Apache-2.0

// Outlines judged by GEOS: the union of the footprint and one capsule per edge, whose arcs are
// chords. It can only lack what the chords cut off, and that has a closed form.
#include "geometry/capsules.hpp"
#include "unit/geometry/shapes.hpp"

#include <doctest/doctest.h>

#include <string_view>

namespace fuelring {
namespace {

void check_against_capsules(const Footprint& f, double r_m)
{
    const Outline exact = outline_within(f, r_m);
    const Outline judge = outline_of_capsules(f, Disc{r_m});
    CHECK(judge.method == OutlineMethod::capsules);
    CHECK(worst_imbalance(judge) == 0);
    const double lacking_m2 = area_m2(exact) - area_m2(judge);
    const double rounding_m2 = 1e-9 * area_m2(exact);
    CHECK(lacking_m2 > -rounding_m2);
    CHECK(lacking_m2 < chord_loss_m2(exact, capsule_quadrant_pieces) + rounding_m2);
}

} // namespace

TEST_CASE("outlines of random shapes are the unions of their capsules")
{
    struct Case {
        std::string_view why;
        Footprint footprint;
    };
    Dice dice{42};
    const Case cases[] = {
        {"star", {{random_star(dice, 12, 3, 15)}}},
        {"spiky star", {{random_star(dice, 16, 0.5, 25)}}},
        {"large star", {{random_star(dice, 9, 20, 120)}}},
        {"hamlet", random_hamlet(dice, 3, 9)},
        {"cells", random_cells(dice, 4, 3, false)},
        {"cells that touch, turned", sheared(random_cells(dice, 4, 4, true))},
        {"star in a courtyard",
         {{rectangle(-30, -30, 30, 30), reversed(rectangle(-20, -20, 20, 20)),
           random_star(dice, 8, 4, 15)}}},
    };
    for (const Case& c : cases)
        for (const double r_m : ring_distances_m) {
            CAPTURE(c.why);
            CAPTURE(r_m);
            check_against_capsules(c.footprint, r_m);
        }
}

} // namespace fuelring
