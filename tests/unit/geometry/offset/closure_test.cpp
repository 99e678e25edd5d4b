// SPDX-License-Identifier: Apache-2.0
#include "geometry/offset/outline_of_valid.hpp"
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

Count count_methods(const std::vector<Footprint>& footprints,
                    const std::vector<RingStretch>& stretches = {RingStretch{}})
{
    Count count;
    int not_closed = 0;
    int shrunk = 0;
    std::size_t next = 0;
    for (const Footprint& f : footprints) {
        const RingStretch& stretch = stretches[next++ % stretches.size()];
        double inner_m2 = area_m2(f);
        for (const double r_m : ring_distances_m) {
            const Outline o = outline_within(f, r_m, stretch);
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

TEST_CASE("outlines on slopes always close too, full of coincidences or not")
{
    Dice dice{4000};
    std::vector<RingStretch> slopes{on_slope(2, 1, 0),
                                    on_slope(2.5, 1, 90),
                                    on_slope(1.5, 1.5, 180),
                                    on_slope(1, 2, 270),
                                    {2, 1, {0.6, 0.8}}}; // the last turns coordinates exactly
    for (int i = 0; i < 32; ++i)
        slopes.push_back(on_slope(dice.between(1, 3), dice.between(1, 2.5), dice.between(0, 360)));
    std::vector<Footprint> footprints;
    for (int i = 0; i < 60; ++i) {
        footprints.push_back({{random_star(dice, 8 + dice.up_to(40), 1, 30)}});
        footprints.push_back(random_hamlet(dice, 3, dice.between(4, 40)));
        const double cell_m = dice.one_in(2) ? 3 : 20;
        const Footprint cells = random_cells(dice, 5, cell_m, dice.one_in(2));
        footprints.push_back(cells);
        footprints.push_back(sheared(random_cells(dice, 5, cell_m * 0.8, dice.one_in(2))));
        footprints.push_back(shaken(dice, cells, std::pow(10, dice.between(-14, -5))));
    }
    const Count count = count_methods(footprints, slopes);
    CHECK(count.exact >= 1195);
    CHECK(count.capsules == 0);
}

TEST_CASE("a corner that turns by less than the halves of the egg can be told apart closes")
{
    // The slope falls along the wall, so its corners lie where the halves meet; they turn by 1e-11
    // to 1e-7.
    for (const double dent_m : {1e-10, 1e-9, 3e-9, 1e-8, 1e-7, 1e-6})
        for (const double sign : {-1.0, 1.0}) {
            const Footprint wall{
                {{{0, 0}, {10, sign * dent_m}, {20, 0}, {20, 10}, {12, 5}, {0, 10}}}};
            for (const double aspect_deg : {90.0, 270.0})
                for (const double r_m : ring_distances_m) {
                    CAPTURE(dent_m);
                    CAPTURE(r_m);
                    const Outline o = outline_within(wall, r_m, on_slope(2.5, 1.5, aspect_deg));
                    CHECK(o.method == OutlineMethod::exact);
                    CHECK(worst_imbalance(o) == 0);
                }
        }
}

TEST_CASE("an outline that crosses itself, against the law and unasked, is united from capsules")
{
    const Footprint bow_tie{{{{0, 0}, {10, 10}, {10, 0}, {0, 8}}}};
    for (const double r_m : {10.0, 30.0}) {
        const Outline o = outline_of_valid(bow_tie, r_m, {});
        CHECK(o.method == OutlineMethod::capsules);
        CHECK(worst_imbalance(o) == 0);
        const Footprint hull{{{{0, 0}, {10, 0}, {10, 10}, {0, 8}}}};
        CHECK(area_m2(o) < area_m2(outline_within(hull, r_m)));
        CHECK(area_m2(o) > pi * r_m * r_m + 2 * 10 * r_m); // its right-hand wall alone
        const Outline sloping = outline_of_valid(bow_tie, r_m, on_slope(2, 1, 45));
        CHECK(sloping.method == OutlineMethod::capsules);
        CHECK(worst_imbalance(sloping) == 0);
        CHECK(area_m2(sloping) > area_m2(o));
        CHECK(area_m2(sloping) < area_m2(outline_within(hull, r_m, on_slope(2, 1, 45))));
    }
}

} // namespace fuelring
