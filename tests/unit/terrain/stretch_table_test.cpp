// SPDX-License-Identifier: Apache-2.0
#include "terrain/stretch_table.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <string_view>

using namespace fuelring;
using doctest::Approx;

namespace {

RingStretch stretch_at(const StretchTable& table, double slope_deg)
{
    LocalSlope slope;
    slope.fall = std::tan(slope_deg * std::numbers::pi / 180);
    if (!slope.is_flat())
        slope.downhill = {0.6, -0.8};
    return table.at(slope);
}

} // namespace

TEST_CASE("the default gives the published distances")
{
    // Source: University of California, Agriculture and Natural Resources, web pages on wildfire,
    // "Surroundings: Parcels" (undated): clearance downhill where level ground has 30 feet; from 25
    // degrees on our own choice: no more.
    struct Case {
        double slope_deg, feet;
    };
    const Case cases[] = {{0, 30},  {5, 30},  {10, 30}, {15, 45},
                          {20, 60}, {25, 75}, {35, 75}, {60, 75}};
    for (const Case& c : cases) {
        CAPTURE(c.slope_deg);
        const RingStretch stretch = stretch_at({}, c.slope_deg);
        CHECK(30 * stretch.down == Approx(c.feet).epsilon(1e-14));
        CHECK(stretch.across == 1);
        if (c.slope_deg > 0)
            CHECK(stretch.downhill == Point{0.6, -0.8});
    }
    CHECK(stretch_at({}, 5).is_round()); // not 1 + 1e-16, which would cost an egg
}

TEST_CASE("factors are linear between rows and constant beyond")
{
    const StretchTable table{{{5, 1.2, 1.1}, {15, 2, 1.1}, {30, 3.5, 2.6}}};
    struct Case {
        double slope_deg, down, across;
    };
    const Case cases[] = {{1, 1.2, 1.1},      {5, 1.2, 1.1},  {10, 1.6, 1.1}, {15, 2, 1.1},
                          {22.5, 2.75, 1.85}, {30, 3.5, 2.6}, {80, 3.5, 2.6}};
    for (const Case& c : cases) {
        CAPTURE(c.slope_deg);
        const RingStretch stretch = stretch_at(table, c.slope_deg);
        CHECK(stretch.down == Approx(c.down).epsilon(1e-14));
        CHECK(stretch.across == Approx(c.across).epsilon(1e-14));
    }
    CHECK(table.largest() == 3.5);
}

TEST_CASE("rings are round on flat ground and without rows")
{
    CHECK(stretch_at({{{0, 2, 2}}}, 0).is_round());
    CHECK(stretch_at({{}}, 40).is_round());
    CHECK(StretchTable{{}}.largest() == 1);
}
