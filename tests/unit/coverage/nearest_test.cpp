// SPDX-License-Identifier: Apache-2.0
#include "coverage/gather.hpp"
#include "support/fuel_fixtures.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>

using namespace fuelring;
using namespace fuelring::test;

namespace {

const RingPlan plan;
const Grid metre_cells = square_grid(1, 1000, 1000);
const CellFrame middle_frame{500, 500};

std::optional<double> nearest(const Footprint& footprint,
                              const std::set<std::pair<std::int64_t, std::int64_t>>& conifers)
{
    const FuelWindow fuel = window(reach(footprint, middle_frame, metre_cells, plan),
                                   [&](std::int64_t row, std::int64_t col) {
                                       return conifers.contains({row, col}) ? conifer : grass;
                                   });
    return coverage::nearest_conifer_m(footprint, middle_frame, metre_cells, fuel, plan.widest_m());
}

/// Distance between two point sets by dense sampling of both boundaries, good to `step`.
double sampled_distance(const Footprint& footprint, Point cell_min, double step)
{
    double best = 1e300;
    const Loop cell{cell_min, cell_min + Point{1, 0}, cell_min + Point{1, 1},
                    cell_min + Point{0, 1}};
    for (const Loop& loop : footprint.loops)
        for (std::size_t i = 0; i < loop.size(); ++i) {
            const Point a = loop[i];
            const Point b = loop[(i + 1) % loop.size()];
            const int n = static_cast<int>(std::hypot(b.x - a.x, b.y - a.y) / step) + 1;
            for (int k = 0; k <= n; ++k) {
                const Point p = a + (static_cast<double>(k) / n) * (b - a);
                const double dx = std::max({cell_min.x - p.x, 0.0, p.x - cell_min.x - 1});
                const double dy = std::max({cell_min.y - p.y, 0.0, p.y - cell_min.y - 1});
                best = std::min(best, std::hypot(dx, dy));
            }
        }
    for (const Point corner : cell)
        if (contains(footprint, corner))
            return 0;
    return best;
}

} // namespace

TEST_CASE("the distance is from the wall to the cell's near side or corner")
{
    const Footprint house = rectangle(10, 8);    // columns 500..509, rows 492..499
    CHECK(nearest(house, {{495, 515}}) == 5.0);  // east: x from 15
    CHECK(nearest(house, {{480, 505}}) == 11.0); // north: y from 19, wall at 8
    CHECK(*nearest(house, {{504, 514}}) == doctest::Approx(std::hypot(4, 4))); // corner to corner
    CHECK(nearest(house, {{495, 515}, {495, 512}}) == 2.0);
}

TEST_CASE("a cell that touches or overhangs the footprint is at distance 0")
{
    const Footprint house = rectangle(10, 8);
    CHECK(nearest(house, {{495, 510}}) == 0.0); // touches the east wall
    CHECK(nearest(house, {{495, 505}}) == 0.0); // on the roof
}

TEST_CASE("nothing is reported where no conifer lies within the widest ring")
{
    const Footprint house = rectangle(10, 8);
    CHECK_FALSE(nearest(house, {}).has_value());
    CHECK_FALSE(nearest(house, {{495, 611}}).has_value()); // 101 m off
    CHECK(nearest(house, {{495, 609}}) == 99.0);
}

TEST_CASE("trees in a courtyard are measured from the courtyard's walls")
{
    const Footprint ring = normalised({{{{0, 0}, {40, 0}, {40, 40}, {0, 40}}, false},
                                       {{{10, 10}, {30, 10}, {30, 30}, {10, 30}}, true}});
    CHECK(nearest(ring, {{480, 519}}) == 9.0); // x 19 to 20, y 19 to 20 between 10 and 30
}

TEST_CASE("random outlines and cells agree with dense sampling")
{
    std::mt19937_64 rng{6};
    std::uniform_int_distribution<std::int64_t> place{-40, 40};
    for (int trial = 0; trial < 60; ++trial) {
        CAPTURE(trial);
        const Footprint house = random_star(rng, 7, 3, 12, {0.21, 0.37});
        std::set<std::pair<std::int64_t, std::int64_t>> cells;
        double expected = 1e300;
        for (int i = 0; i < 1 + trial % 5; ++i) {
            const std::int64_t row = place(rng);
            const std::int64_t col = place(rng);
            cells.insert({500 + row, 500 + col});
            expected = std::min(
                expected,
                sampled_distance(house, {static_cast<double>(col), -static_cast<double>(row) - 1},
                                 0.002));
        }
        CHECK(std::abs(*nearest(house, cells) - expected) < 0.002);
    }
}
