// SPDX-License-Identifier: Apache-2.0

// The kernel on slopes: integrals over stretched rings, their transpose, and the nearest conifer.
#include "coverage/gather.hpp"
#include "coverage/scatter.hpp"
#include "support/fuel_fixtures.hpp"

#include <fuelring/surface.hpp>

#include <doctest/doctest.h>

#include <algorithm>
#include <numeric>
#include <set>

using namespace fuelring;
using namespace fuelring::test;

namespace {

const RingPlan stretched_plan;

/// Area of the half disc of radius r beyond a line at distance d from its centre.
/// Source: the circular segment formula, Bronshtein and Semendyayev, Handbook of Mathematics
/// (from memory).
double segment_m2(double r, double d)
{
    return d < r ? r * r * std::acos(d / r) - d * std::sqrt((r - d) * (r + d)) : 0;
}

/// Points along all walls, `per_wall` to each.
std::vector<Point> sampled_boundary(const Footprint& footprint, int per_wall)
{
    std::vector<Point> points;
    for (const Loop& loop : footprint.loops)
        for (std::size_t i = 0; i < loop.size(); ++i) {
            const Point step = loop[(i + 1) % loop.size()] - loop[i];
            for (int k = 0; k < per_wall; ++k)
                points.push_back(loop[i] + (1.0 * k / per_wall) * step);
        }
    return points;
}

using Cells = std::set<std::pair<std::int64_t, std::int64_t>>;

StructureMeasure measured(const Footprint& house, const RingStretch& stretch,
                          const CellFrame& frame, const Grid& grid, const FuelWindow& fuel)
{
    return measure(house, ring_outlines(house, stretched_plan, stretch), frame, grid, fuel,
                   stretched_plan);
}

std::optional<double> nearest_stretched(const Footprint& house, const RingStretch& stretch,
                                        const Cells& conifers)
{
    const Grid grid = square_grid(1, 1000, 1000);
    const CellFrame frame{500, 500};
    const FuelWindow fuel = window(reach(house, frame, grid, stretched_plan, stretch),
                                   [&](std::int64_t row, std::int64_t col) {
                                       return conifers.contains({row, col}) ? conifer : grass;
                                   });
    return measured(house, stretch, frame, grid, fuel).nearest_conifer_m;
}

} // namespace

TEST_CASE("conifers below, above and beside a house on a slope fill the share of the closed form")
{
    // A square of side a on ground that falls to the east. Beyond a line d off a wall lie a strip
    // and the two quarters of the egg at the ends of that wall, whose semi-axes are those of a
    // circle stretched along the wall.
    constexpr double a = 12;
    const RingStretch east{2.5, 1.25, {1, 0}};
    struct Side {
        const char* name;
        double reach;   ///< factor of r towards the line
        double quarter; ///< mean factor along the wall of the two quarters
        Point towards;
    };
    const Side sides[] = {{"below", 2.5, 1.25, {1, 0}},
                          {"above", 1, 1.25, {-1, 0}},
                          {"beside", 1.25, (2.5 + 1) / 2, {0, 1}},
                          {"on the other side", 1.25, (2.5 + 1) / 2, {0, -1}}};
    for (const double cell_m : {0.5, 1.0, 5.0})
        for (const Side& side : sides)
            for (const double d : {0.0, 3.0, 20.0, 95.0, 180.0}) {
                if (d > side.reach * stretched_plan.widest_m())
                    continue; // nothing beyond the line
                CAPTURE(cell_m);
                CAPTURE(std::string{side.name});
                CAPTURE(d);
                const Grid grid = square_grid(cell_m, 4000, 4000);
                const CellFrame frame{2000, 2000};
                // The wall stands d short of a grid line, wherever the others fall.
                const Point corner{side.towards.x > 0   ? -d - a
                                   : side.towards.x < 0 ? d
                                                        : 0.3,
                                   side.towards.y > 0   ? -d - a
                                   : side.towards.y < 0 ? d
                                                        : 0.4};
                const Footprint house = rectangle(a, a, corner);
                const FuelWindow fuel = window(reach(house, frame, grid, stretched_plan, east),
                                               [&](std::int64_t row, std::int64_t col) {
                                                   const bool beyond =
                                                       side.towards.x > 0   ? col >= 2000
                                                       : side.towards.x < 0 ? col < 2000
                                                       : side.towards.y > 0 ? row < 2000
                                                                            : row >= 2000;
                                                   return beyond ? conifer : grass;
                                               });
                const StructureMeasure m = measured(house, east, frame, grid, fuel);
                double sum_m2 = 0;
                for (std::size_t k = 0; k < stretched_plan.outer_m.size(); ++k) {
                    const double r = stretched_plan.outer_m[k];
                    const double far = (k == 0 ? 1 : side.reach) * r;
                    const double along = (k == 0 ? 1 : side.quarter) * r;
                    sum_m2 += m.rings[k].conifer_m2;
                    const double expected_m2 =
                        d < far ? a * (far - d) + along / far * segment_m2(far, d) : 0;
                    const double area_of_all_m2 = area_m2(outline_within(house, r, east));
                    CHECK(std::abs(sum_m2 - expected_m2) < 1e-12 * area_of_all_m2);
                }
            }
}

TEST_CASE("mapped and unmapped ground of stretched rings add up to the integral of their pieces")
{
    std::mt19937_64 rng{91};
    for (const double cell_m : {0.7, 1.0, 4.0})
        for (int trial = 0; trial < 10; ++trial) {
            CAPTURE(cell_m);
            CAPTURE(trial);
            const Grid grid = square_grid(cell_m, 2000, 2000);
            const CellFrame frame{1000, 1000};
            const Footprint house = random_star(rng, 5 + trial, 3, 15, {0.4, -0.1});
            const RingStretch stretch = random_stretch(rng);
            const RingOutlines outlines = ring_outlines(house, stretched_plan, stretch);
            const FuelWindow fuel =
                window(reach(house, frame, grid, stretched_plan, stretch), RandomFuel{4});
            const StructureMeasure m = measure(house, outlines, frame, grid, fuel, stretched_plan);
            double inner_m2 = area_m2(house);
            for (std::size_t k = 0; k < m.rings.size(); ++k) {
                const double outer_m2 = area_m2(outlines.within[k + 1]);
                CHECK(m.rings[k].ring_m2 > 0); // outlines nest
                CHECK(std::abs(m.rings[k].mapped_m2 + m.rings[k].unmapped_m2 -
                               (outer_m2 - inner_m2)) < 1e-12 * outer_m2);
                inner_m2 = outer_m2;
            }
        }
}

TEST_CASE("the innermost ring is round on a slope, those beyond it reach down the slope")
{
    const Footprint house = rectangle(10, 10);
    const RingOutlines outlines = ring_outlines(house, stretched_plan, {2.5, 1, {1, 0}});
    CHECK(bounds(outlines.within[1]).max.x == 11.5);
    CHECK(bounds(outlines.within[2]).max.x == 35);
    CHECK(bounds(outlines.within[2]).min.x == -10);
    CHECK(bounds(outlines.within[4]).max.x == 260);
    RingPlan one;
    one.outer_m = {30};
    one.weight = {1};
    CHECK(ring_outlines(house, one, {2.5, 1, {1, 0}}).widest.is_round());
}

TEST_CASE("the surface of stretched rings sums to the exposure, and no division changes a bit")
{
    std::mt19937_64 rng{18};
    const Grid grid = square_grid(1, 900, 900);
    const RandomFuel fuel{3};
    SurfaceTile whole;
    whole.begin({0, 0, 900, 900});
    const std::int64_t cut_col = 437;
    const std::int64_t cut_row = 512;
    const std::array<CellRect, 4> parts{CellRect{0, 0, cut_col, cut_row},
                                        {cut_col, 0, 900 - cut_col, cut_row},
                                        {0, cut_row, cut_col, 900 - cut_row},
                                        {cut_col, cut_row, 900 - cut_col, 900 - cut_row}};
    std::array<SurfaceTile, 4> tiles;
    for (std::size_t k = 0; k < parts.size(); ++k)
        tiles[k].begin(parts[k]);
    double total_exposure = 0;
    for (int i = 0; i < 20; ++i) {
        const CellFrame frame{350 + 9 * i, 540 - 8 * i};
        const Footprint house = random_star(rng, 8, 3, 14, {0.1 * i, 0.3});
        const RingStretch stretch = random_stretch(rng);
        const RingOutlines outlines = ring_outlines(house, stretched_plan, stretch);
        const StructureMeasure m = measure(
            house, outlines, frame, grid,
            window(reach(house, frame, grid, stretched_plan, stretch), fuel), stretched_plan);
        total_exposure += *exposure(m, stretched_plan);
        whole.add(outlines, frame, grid, points_per_m2(m, stretched_plan));
        for (SurfaceTile& tile : tiles)
            tile.add(outlines, frame, grid, points_per_m2(m, stretched_plan));
    }
    whole.finish();
    for (SurfaceTile& tile : tiles)
        tile.finish();
    double total_surface = 0;
    bool same = true;
    for (std::int64_t r = 0; r < 900; ++r)
        for (std::int64_t c = 0; c < 900; ++c) {
            const SurfaceTile& tile = tiles[(r >= cut_row ? 2U : 0U) + (c >= cut_col ? 1U : 0U)];
            same &= tile.points(r, c) == whole.points(r, c);
            const FuelClass& f = classes()[fuel(r, c)];
            if (f.group != FuelGroup::unmapped)
                total_surface += whole.points(r, c) * f.conifer_share / whole_share;
        }
    CHECK(same);
    CHECK(total_surface == doctest::Approx(total_exposure).epsilon(1e-9));
}

TEST_CASE("the nearest conifer counts within the stretched ring, and not beyond it")
{
    const Footprint house = rectangle(10, 10); // x 0 to 10, rows 490 to 499
    const RingStretch east{2, 1, {1, 0}};
    CHECK(nearest_stretched(house, east, {{495, 510 + 150}}) == 150.0); // below: within 200 m
    CHECK_FALSE(nearest_stretched(house, east, {{495, 510 + 201}}).has_value());
    CHECK(nearest_stretched(house, east, {{495, 500 - 91}}) == 90.0); // above
    CHECK_FALSE(nearest_stretched(house, east, {{495, 500 - 151}}).has_value());
    CHECK_FALSE(
        nearest_stretched(house, RingStretch{}, {{495, 510 + 150}}).has_value()); // level ground
    // The nearer tree stands above, out of the ring; the one that counts is further off, below.
    CHECK(nearest_stretched(house, east, {{495, 500 - 121}, {495, 510 + 160}}) == 160.0);
    // In one row the ring down a diagonal reaches the further cell and not the nearer one.
    const double half = std::sqrt(0.5);
    const RingStretch north_east{2.5, 1, {half, half}};
    const std::int64_t row = 499 - 160; // y 160 to 161
    CHECK_FALSE(nearest_stretched(house, north_east, {{row, 505}}).has_value());
    CHECK(nearest_stretched(house, north_east, {{row, 505}, {row, 620}}) ==
          doctest::Approx(std::hypot(110, 150)));
}

TEST_CASE("nearest conifers on random slopes agree with dense sampling of walls and cells")
{
    std::mt19937_64 rng{61};
    std::uniform_int_distribution<std::int64_t> place{-240, 240};
    int found = 0;
    int missed = 0;
    for (int trial = 0; trial < 150; ++trial) {
        CAPTURE(trial);
        const Footprint house = random_star(rng, 6, 3, 12, {0.21, 0.37});
        const RingStretch stretch = random_stretch(rng);
        Cells cells;
        double expected = 1e300;
        bool doubtful = false;
        for (int i = 0; i < 1 + trial % 3; ++i) {
            const std::int64_t row = place(rng);
            const std::int64_t col = place(rng);
            cells.insert({500 + row, 500 + col});
            const Point low{static_cast<double>(col), -static_cast<double>(row) - 1};
            const bool overhangs = contains(house, low + Point{0.5, 0.5});
            double by_ruler = overhangs ? 0 : 1e300;
            double nominal = by_ruler;
            for (const Point wall : sampled_boundary(house, 60))
                for (int k = 0; k < 25; ++k) {
                    const Point cell = low + Point{0.25 * (k % 5), 0.25 * (k / 5)};
                    const Point z = cell - wall;
                    const double x = dot(z, stretch.downhill);
                    const double y = cross(stretch.downhill, z);
                    by_ruler = std::min(by_ruler, std::hypot(z.x, z.y));
                    nominal = std::min(
                        nominal, std::hypot(x > 0 ? x / stretch.down : x, y / stretch.across));
                }
            doubtful |= std::abs(nominal - stretched_plan.widest_m()) < 0.5; // of the sampling
            if (nominal < stretched_plan.widest_m())
                expected = std::min(expected, by_ruler);
        }
        if (doubtful)
            continue;
        const std::optional<double> ours = nearest_stretched(house, stretch, cells);
        (expected < 1e300 ? found : missed) += 1;
        REQUIRE(ours.has_value() == (expected < 1e300));
        if (ours)
            CHECK(std::abs(*ours - expected) < 0.5);
    }
    CHECK(found > 40);
    CHECK(missed > 40);
}
