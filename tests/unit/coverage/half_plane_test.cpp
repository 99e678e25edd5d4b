// SPDX-License-Identifier: Apache-2.0
#include "support/closed_forms.hpp"
#include "support/fuel_fixtures.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace fuelring;
using namespace fuelring::test;

TEST_CASE("conifers beyond a line fill the share of every ring that the closed form says")
{
    const RingPlan plan;
    std::mt19937_64 rng{3};
    std::uniform_real_distribution<double> unit{0, 1};
    for (const double cell_m : {0.25, 0.5, 1.0, 2.0, 5.0})
        for (int trial = 0; trial < 6; ++trial) {
            const double side = 6 + 8 * unit(rng);
            const double d =
                std::array{0.0, 0.4, 3.7, 12.0, 55.0, 99.0}[static_cast<std::size_t>(trial)];
            CAPTURE(cell_m);
            CAPTURE(side);
            CAPTURE(d);
            const Grid grid = square_grid(cell_m, 4000, 4000);
            const CellFrame frame{2000, 2000};
            const std::int64_t first_conifer = 2000 + static_cast<std::int64_t>(20 / cell_m);
            const double line_x = static_cast<double>(first_conifer - 2000) * cell_m;
            const Footprint square = rectangle(side, side, {line_x - d - side, unit(rng) * cell_m});
            const FuelWindow fuel =
                window(reach(square, frame, grid, plan), [&](std::int64_t, std::int64_t col) {
                    return col >= first_conifer ? conifer : grass;
                });
            const StructureMeasure m =
                measure(square, ring_outlines(square, plan), frame, grid, fuel, plan);
            double inner_r = 0;
            for (std::size_t k = 0; k < plan.outer_m.size(); ++k) {
                const double r = plan.outer_m[k];
                CAPTURE(r);
                const double ring_m2 = grown_m2(side, r) - grown_m2(side, inner_r);
                const double conifer_m2 =
                    beyond_line_m2(side, d, r) - beyond_line_m2(side, d, inner_r);
                CHECK(std::abs(m.rings[k].ring_m2 - ring_m2) < 1e-12 * ring_m2);
                CHECK(std::abs(m.rings[k].mapped_m2 - ring_m2) < 1e-12 * ring_m2);
                CHECK(std::abs(m.rings[k].conifer_m2 - conifer_m2) < 1e-12 * ring_m2);
                CHECK(std::abs(m.rings[k].other_burnable_m2 - (ring_m2 - conifer_m2)) <
                      1e-12 * ring_m2);
                CHECK(m.rings[k].unmapped_m2 == 0);
                inner_r = r;
            }
            REQUIRE(m.nearest_conifer_m);
            CHECK(*m.nearest_conifer_m == doctest::Approx(d).epsilon(1e-12));
        }
}

TEST_CASE("half-conifer cells count half, unmapped ground is apart and never zero")
{
    const RingPlan plan;
    const Grid grid = square_grid(1, 1000, 1000);
    const CellFrame frame{500, 500};
    const Footprint house = rectangle(10, 8, {0.3, 0.6});
    const CellRect rect = reach(house, frame, grid, plan);
    const FuelWindow half = window(rect, [](auto, auto) { return half_conifer; });
    const FuelWindow west_unmapped = window(
        rect, [](std::int64_t, std::int64_t col) { return col < 500 ? nothing : half_conifer; });
    const RingOutlines outlines = ring_outlines(house, plan);
    const StructureMeasure all = measure(house, outlines, frame, grid, half, plan);
    const StructureMeasure east = measure(house, outlines, frame, grid, west_unmapped, plan);
    CHECK(*exposure(all, plan) == doctest::Approx(50).epsilon(1e-12));
    CHECK(*exposure(east, plan) == doctest::Approx(50).epsilon(1e-12));
    for (std::size_t k = 0; k < 4; ++k) {
        CHECK(east.rings[k].mapped_m2 + east.rings[k].unmapped_m2 ==
              doctest::Approx(all.rings[k].ring_m2).epsilon(1e-12));
        CHECK(east.rings[k].unmapped_m2 > 0);
        CHECK(*all.rings[k].other_burnable_frac() == doctest::Approx(0.5).epsilon(1e-12));
    }
    CHECK(all.roof.conifer_m2 == doctest::Approx(40).epsilon(1e-12));
    const FuelWindow no_map = window(rect, [](auto, auto) { return nothing; });
    const StructureMeasure none = measure(house, outlines, frame, grid, no_map, plan);
    CHECK_FALSE(exposure(none, plan).has_value());
    CHECK_FALSE(none.rings[0].conifer_frac().has_value());
    CHECK(none.rings[0].unmapped_frac() == doctest::Approx(1).epsilon(1e-12));
}

TEST_CASE("what a structure measures does not depend on the window it is measured in")
{
    const RingPlan plan;
    const Grid grid = square_grid(1, 2000, 2000);
    std::mt19937_64 rng{4};
    const RandomFuel fuel{9};
    for (int i = 0; i < 10; ++i) {
        const CellFrame frame{700 + 13 * i, 900 - 7 * i};
        const Footprint house = random_star(rng, 9, 4, 12, {8, 3});
        const CellRect tight = reach(house, frame, grid, plan);
        const CellRect wide{tight.col - 37 - i, tight.row - 11, tight.cols + 64, tight.rows + 50};
        const RingOutlines outlines = ring_outlines(house, plan);
        const StructureMeasure a = measure(house, outlines, frame, grid, window(tight, fuel), plan);
        const StructureMeasure b = measure(house, outlines, frame, grid, window(wide, fuel), plan);
        for (std::size_t k = 0; k < 4; ++k) {
            CHECK(a.rings[k].conifer_m2 == b.rings[k].conifer_m2);
            CHECK(a.rings[k].mapped_m2 == b.rings[k].mapped_m2);
            CHECK(a.rings[k].unmapped_m2 == b.rings[k].unmapped_m2);
            CHECK(a.rings[k].other_burnable_m2 == b.rings[k].other_burnable_m2);
        }
        CHECK(a.nearest_conifer_m == b.nearest_conifer_m);
    }
}

TEST_CASE("a window that does not hold the widest ring is refused, not read beyond")
{
    const RingPlan plan;
    const Grid grid = square_grid(1, 500, 500);
    const Footprint house = rectangle(10, 10);
    CellRect rect = reach(house, {200, 200}, grid, plan);
    rect.cols -= 4;
    const FuelWindow fuel = window(rect, [](auto, auto) { return grass; });
    CHECK_THROWS_AS(measure(house, ring_outlines(house, plan), {200, 200}, grid, fuel, plan),
                    std::logic_error);
}
