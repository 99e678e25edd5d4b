// SPDX-License-Identifier: Apache-2.0
#include "support/fuel_fixtures.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>

using namespace fuelring;
using namespace fuelring::test;

namespace {

struct Placed {
    Grid grid;
    Loop outline; ///< map coordinates
};

StructureMeasure measure_at(const Placed& placed, std::uint64_t seed)
{
    const RingPlan plan;
    const CellFrame frame = placed.grid.frame_at(placed.outline.front());
    Loop local;
    for (const Point p : placed.outline)
        local.push_back(placed.grid.to_local(frame, p));
    const Footprint house = polygon(local);
    const FuelWindow fuel = window(reach(house, frame, placed.grid, plan), RandomFuel{seed});
    return measure(house, ring_outlines(house, plan), frame, placed.grid, fuel, plan);
}

} // namespace

TEST_CASE("moving everything by 500 km of northing changes no bit of any figure")
{
    std::mt19937_64 rng{10};
    std::uniform_int_distribution<int> offset{-12 * 1024, 12 * 1024};
    for (const double cell_m : {0.5, 1.0, 2.0})
        for (int trial = 0; trial < 10; ++trial) {
            CAPTURE(cell_m);
            const Point centre{600'300.25, 5'210'700.5};
            Loop outline;
            for (int i = 0; i < 7; ++i) // multiples of 1/1024 m, corners in order of angle
                outline.push_back(centre + Point{std::round(1024 * 9 * std::cos(0.9 * i)) / 1024 +
                                                     offset(rng) / 8192.0 / 128,
                                                 std::round(1024 * 9 * std::sin(0.9 * i)) / 1024});
            for (Point& p : outline)
                p = {std::round(p.x * 1024) / 1024, std::round(p.y * 1024) / 1024};
            const Placed here{Grid{{600'000, cell_m, 0, 5'211'000, 0, -cell_m}, 4000, 4000},
                              outline};
            Placed there{Grid{{600'000, cell_m, 0, 5'711'000, 0, -cell_m}, 4000, 4000}, outline};
            for (Point& p : there.outline)
                p.y += 500'000;
            const StructureMeasure a = measure_at(here, 5);
            const StructureMeasure b = measure_at(there, 5);
            CHECK(a.nearest_conifer_m == b.nearest_conifer_m);
            CHECK(a.roof.conifer_m2 == b.roof.conifer_m2);
            for (std::size_t k = 0; k < a.rings.size(); ++k) {
                CHECK(a.rings[k].ring_m2 == b.rings[k].ring_m2);
                CHECK(a.rings[k].conifer_m2 == b.rings[k].conifer_m2);
                CHECK(a.rings[k].mapped_m2 == b.rings[k].mapped_m2);
            }
        }
}

TEST_CASE("a rotated or mirrored grid measures the same ground")
{
    // The same field of conifers beyond a line, seen by grids that are turned or flipped.
    const double turn = 0.3;
    const double c = std::cos(turn);
    const double s = std::sin(turn);
    const std::array<std::array<double, 6>, 3> grids{
        std::array<double, 6>{-200, 1, 0, 200, 0, -1},
        {-200, 1, 0, -200, 0, 1},
        {-200 * c - 200 * s, c, s, -200 * s + 200 * c, s, -c}};
    const RingPlan plan;
    std::vector<double> exposures;
    for (const auto& g : grids) {
        const Grid grid{g, 400, 400};
        const Point middle = grid.corner(200, 200);
        // A square house in the grid's own directions, so that cells and walls line up alike.
        Loop map;
        for (const Point p : {Point{0, 0}, {10, 0}, {10, 10}, {0, 10}})
            map.push_back(
                {middle.x + (p.x * g[1] + p.y * g[2]), middle.y + (p.x * g[4] + p.y * g[5])});
        const CellFrame frame =
            grid.frame_at({middle.x + 1e-6 * (g[1] + g[2]), middle.y + 1e-6 * (g[4] + g[5])});
        Loop local;
        for (const Point p : map)
            local.push_back(grid.to_local(frame, p));
        const Footprint house = polygon(local);
        const FuelWindow fuel =
            window(reach(house, frame, grid, plan),
                   [](std::int64_t row, std::int64_t) { return row < 195 ? conifer : grass; });
        exposures.push_back(
            *exposure(measure(house, ring_outlines(house, plan), frame, grid, fuel, plan), plan));
    }
    CHECK(exposures[1] == doctest::Approx(exposures[0]).epsilon(1e-10));
    CHECK(exposures[2] == doctest::Approx(exposures[0]).epsilon(1e-10));
}

TEST_CASE("a grid whose units are not metres of the ground measures the ground")
{
    // The same cells and house, drawn 1.55 times too large, as Web Mercator does at 50 degrees.
    const RingPlan plan;
    std::mt19937_64 rng{11};
    const double k = 1.55;
    const Grid plain = square_grid(1, 1000, 1000);
    const Grid drawn = square_grid(k, 1000, 1000).at_scale(k);
    CHECK(drawn.cell_area_m2() == doctest::Approx(1).epsilon(1e-14));
    for (int i = 0; i < 5; ++i) {
        const CellFrame frame{500, 500};
        const Footprint house = random_star(rng, 8, 4, 12, {5, 5});
        Footprint seen = house;
        for (Loop& loop : seen.loops)
            for (Point& p : loop) {
                const Point map = plain.to_map(frame, p);
                p = drawn.to_local(frame, k * map);
                const Point back = drawn.to_map(frame, p);
                CHECK(back.x == doctest::Approx(k * map.x).epsilon(1e-13));
                CHECK(back.y == doctest::Approx(k * map.y).epsilon(1e-13));
            }
        const CellRect cells = reach(house, frame, plain, plan);
        CHECK(cells == reach(seen, frame, drawn, plan));
        const FuelWindow fuel = window(cells, RandomFuel{6});
        const StructureMeasure a =
            measure(house, ring_outlines(house, plan), frame, plain, fuel, plan);
        const StructureMeasure b =
            measure(seen, ring_outlines(seen, plan), frame, drawn, fuel, plan);
        for (std::size_t r = 0; r < a.rings.size(); ++r) {
            CHECK(b.rings[r].ring_m2 == doctest::Approx(a.rings[r].ring_m2).epsilon(1e-10));
            CHECK(b.rings[r].conifer_m2 == doctest::Approx(a.rings[r].conifer_m2).epsilon(1e-9));
        }
        CHECK(*b.nearest_conifer_m == doctest::Approx(*a.nearest_conifer_m).epsilon(1e-9));
    }
}

TEST_CASE("grids without area, without right angles or with numbers that are none are refused")
{
    const double nan = std::nan("");
    CHECK_THROWS_AS((Grid{{0, 1, 0, 0, 0, 0}, 10, 10}), Error);
    CHECK_THROWS_AS((Grid{{0, 1, 0.2, 0, 0, -1}, 10, 10}), Error);
    CHECK_THROWS_AS((Grid{{0, 1, 0, nan, 0, -1}, 10, 10}), Error);
    CHECK_THROWS_AS((Grid{{0, 1, 0, 0, 0, -1}, 0, 10}), Error);
}
