// SPDX-License-Identifier: Apache-2.0
#include "unit/geometry/shapes.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

namespace fuelring {
namespace {

/// How often each method was needed.
struct Count {
    int exact = 0;
    int nudged = 0;
    int capsules = 0;
};

Count count_methods(const std::vector<Footprint>& footprints)
{
    Count count;
    int not_closed = 0;
    int shrunk = 0;
    for (const Footprint& f : footprints) {
        double inner_m2 = area_m2(f);
        for (const double r_m : ring_distances_m) {
            const Outline o = outline_within(f, r_m);
            not_closed += worst_imbalance(o) != 0 || closure_error_m(o) > 1e-9;
            // At least the disc about any point is new.
            shrunk += area_m2(o) < inner_m2 + 1e-3;
            inner_m2 = area_m2(o);
            count.exact += o.method == OutlineMethod::exact;
            count.nudged += o.method == OutlineMethod::nudged;
            count.capsules += o.method == OutlineMethod::capsules;
        }
    }
    CHECK(not_closed == 0);
    CHECK(shrunk == 0);
    return count;
}

} // namespace

TEST_CASE("dense random footprints always close, and hardly ever need help")
{
    Dice dice{1000};
    std::vector<Footprint> footprints;
    for (int i = 0; i < 250; ++i)
        footprints.push_back({{random_star(dice, 8 + dice.up_to(40), 1, 30)}});
    for (int i = 0; i < 250; ++i)
        footprints.push_back(random_hamlet(dice, 3, dice.between(4, 40)));
    const Count count = count_methods(footprints);
    CHECK(count.exact == 2000);
}

TEST_CASE("drawn footprints full of coincidences always close, and hardly ever need help")
{
    // Cells of 3, 20, 60 and 200 m make gaps of exactly 2 r at 1.5, 10, 30 and 100 m.
    Dice dice{2000};
    std::vector<Footprint> footprints;
    for (const double cell_m : {1.5, 3.0, 5.0, 20.0, 60.0})
        for (int i = 0; i < 50; ++i) {
            const Footprint cells = random_cells(dice, 5, cell_m, dice.one_in(2));
            footprints.push_back(cells);
            // Stretched by 1.25, so that 0.8 of the cell gives the same gaps.
            footprints.push_back(sheared(random_cells(dice, 5, cell_m * 0.8, dice.one_in(2))));
        }
    const Count count = count_methods(footprints);
    CHECK(count.exact >= 1990);
    CHECK(count.capsules == 0);
}

TEST_CASE("nearly coincident footprints, as reprojection leaves them, always close")
{
    Dice dice{3000};
    std::vector<Footprint> footprints;
    for (int i = 0; i < 250; ++i) {
        const Footprint cells = random_cells(dice, 5, dice.one_in(2) ? 3 : 20, dice.one_in(2));
        footprints.push_back(shaken(dice, cells, std::pow(10, dice.between(-14, -5))));
    }
    const Count count = count_methods(footprints);
    CHECK(count.exact >= 980);
    CHECK(count.nudged > 0); // so that the second attempt is tried here at all
    CHECK(count.capsules == 0);
}

TEST_CASE("an outline that crosses itself, against the law, is united from capsules")
{
    const Footprint bow_tie{{{{0, 0}, {10, 10}, {10, 0}, {0, 8}}}};
    for (const double r_m : {10.0, 30.0}) {
        const Outline o = outline_within(bow_tie, r_m);
        CHECK(o.method == OutlineMethod::capsules);
        CHECK(worst_imbalance(o) == 0);
        const Footprint hull{{{{0, 0}, {10, 0}, {10, 10}, {0, 8}}}};
        CHECK(area_m2(o) < area_m2(outline_within(hull, r_m)));
        CHECK(area_m2(o) > pi * r_m * r_m + 2 * 10 * r_m); // its right-hand wall alone
    }
}

} // namespace fuelring
