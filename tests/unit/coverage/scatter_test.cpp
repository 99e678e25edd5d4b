// SPDX-License-Identifier: Apache-2.0
#include "coverage/scatter.hpp"
#include "support/fuel_fixtures.hpp"

#include <fuelring/error.hpp>
#include <fuelring/surface.hpp>

#include <doctest/doctest.h>

#include <numeric>

using namespace fuelring;
using namespace fuelring::test;

namespace {

using Plane = std::vector<std::uint64_t>;

Plane values(const Outline& outline, const CellFrame& frame, const Grid& grid,
             coverage::Int128 weight, const CellRect& rect)
{
    Plane plane(static_cast<std::size_t>(rect.rows * rect.cols));
    coverage::scatter(outline, frame, grid, weight, rect, plane);
    const auto cols = static_cast<std::ptrdiff_t>(rect.cols);
    for (auto row = plane.begin(); row != plane.end(); row += cols)
        std::partial_sum(row, row + cols, row);
    return plane;
}

} // namespace

TEST_CASE("any division into rectangles gives the same integers")
{
    std::mt19937_64 rng{7};
    const Grid grid = square_grid(1, 400, 400);
    const CellRect whole{0, 0, 400, 400};
    for (int trial = 0; trial < 6; ++trial) {
        CAPTURE(trial);
        const Footprint house = random_star(rng, 4 + trial, 4, 15, {0.2, 0.9});
        const CellFrame frame{150 + 17 * trial, 190};
        const Outline outline = outline_within(house, 100);
        const coverage::Int128 weight = coverage::to_fixed(0.0031 * (trial + 1));
        const Plane once = values(outline, frame, grid, weight, whole);
        std::uniform_int_distribution<std::int64_t> cut{1, 399};
        for (int split = 0; split < 4; ++split) {
            const std::int64_t x = cut(rng);
            const std::int64_t y = cut(rng);
            for (const CellRect& part :
                 {CellRect{0, 0, x, y}, CellRect{x, 0, 400 - x, y}, CellRect{0, y, x, 400 - y},
                  CellRect{x, y, 400 - x, 400 - y}}) {
                const Plane piece = values(outline, frame, grid, weight, part);
                bool same = true;
                for (std::int64_t r = 0; r < part.rows; ++r)
                    for (std::int64_t c = 0; c < part.cols; ++c)
                        same &= piece[static_cast<std::size_t>(r * part.cols + c)] ==
                                once[static_cast<std::size_t>((part.row + r) * 400 + part.col + c)];
                CHECK(same);
            }
        }
    }
}

TEST_CASE("cells outside a region get exactly nothing, cells inside exactly the weight")
{
    const Grid grid = square_grid(1, 300, 300);
    const CellFrame frame{150, 150};
    const Footprint house = rectangle(12, 8, {0.25, 0.75});
    const coverage::Int128 weight = coverage::to_fixed(0.7321);
    const CellRect rect{0, 0, 300, 300};
    const Plane plane = values(outline_within(house, 30), frame, grid, weight, rect);
    const auto at = [&](std::int64_t row, std::int64_t col) {
        return plane[static_cast<std::size_t>(row * 300 + col)];
    };
    CHECK(at(145, 155) == static_cast<std::uint64_t>(weight));
    CHECK(at(145, 175) == static_cast<std::uint64_t>(weight));
    CHECK(at(145, 100) == 0);
    CHECK(at(145, 290) == 0);
    CHECK(at(10, 155) == 0);
    CHECK(at(290, 155) == 0);
}

TEST_CASE("the surface sums to the exposure it comes from")
{
    // The invariant: transposing loses nothing, whatever is mapped and however rings overlap.
    const RingPlan plan;
    std::mt19937_64 rng{8};
    const Grid grid = square_grid(1, 600, 600);
    const RandomFuel fuel{3};
    const CellRect rect{0, 0, 600, 600};
    SurfaceTile surface;
    surface.begin(rect);
    double total_exposure = 0;
    for (int i = 0; i < 40; ++i) {
        const CellFrame frame{200 + 5 * i, 400 - 4 * i};
        const Footprint house = i % 3 ? random_star(rng, 8, 3, 14, {0.1 * i, 0.3})
                                      : rectangle(8 + 0.37 * i, 6, {0.2, 0.02 * i});
        const RingOutlines outlines = ring_outlines(house, plan);
        const StructureMeasure m = measure(house, outlines, frame, grid,
                                           window(reach(house, frame, grid, plan), fuel), plan);
        total_exposure += *exposure(m, plan);
        surface.add(outlines, frame, grid, points_per_m2(m, plan));
    }
    surface.finish();
    double total_surface = 0;
    for (std::int64_t r = 0; r < 600; ++r)
        for (std::int64_t c = 0; c < 600; ++c) {
            const FuelClass& f = classes()[fuel(r, c)];
            if (f.group != FuelGroup::unmapped)
                total_surface += surface.points(r, c) * f.conifer_share / whole_share;
        }
    CHECK(total_surface == doctest::Approx(total_exposure).epsilon(1e-9));
}

TEST_CASE("under a roof no ring reaches, at the wall one does, beyond the widest none")
{
    const RingPlan plan;
    const Grid grid = square_grid(1, 400, 400);
    const CellFrame frame{200, 200};
    const Footprint house = rectangle(10, 10); // whole cells: rows 190..199, columns 200..209
    const RingOutlines outlines = ring_outlines(house, plan);
    const StructureMeasure m =
        measure(house, outlines, frame, grid,
                window(reach(house, frame, grid, plan), [](auto, auto) { return grass; }), plan);
    RingPlan no_far = plan;
    no_far.weight = {0.5, 0.5, 0, 0};
    for (const RingPlan& weights : {plan, no_far}) {
        SurfaceTile surface;
        surface.begin({0, 0, 400, 400});
        surface.add(outlines, frame, grid, points_per_m2(m, weights));
        surface.finish();
        CHECK_FALSE(surface.ring_reaches(195, 205));
        CHECK(surface.reached(195, 205));
        CHECK(surface.points(195, 205) == 0);
        CHECK(surface.ring_reaches(195, 210));
        CHECK(surface.points(195, 210) > 0);
        CHECK(surface.ring_reaches(195, 299)); // also where the ring carries no weight
        CHECK_FALSE(surface.reached(195, 311));
    }
}

TEST_CASE("the largest sum a cell can hold is exact, and more than that is refused")
{
    // A single cell of 1 km holds everything around each structure: 100 points from each.
    const RingPlan plan;
    const Grid grid = square_grid(1000, 3, 3);
    const CellFrame frame{1, 1};
    const Footprint house = rectangle(8, 8, {450, -450});
    const RingOutlines outlines = ring_outlines(house, plan);
    const FuelWindow fuel = window({-3, -3, 10, 10}, [](auto, auto) { return conifer; });
    const StructureMeasure m = measure(house, outlines, frame, grid, fuel, plan);
    const std::vector<double> points = points_per_m2(m, plan);
    CHECK(*exposure(m, plan) == doctest::Approx(100).epsilon(1e-12));
    SurfaceTile full;
    full.begin({0, 0, 3, 3});
    constexpr int most = 10'485;
    for (int i = 0; i < most; ++i)
        full.add(outlines, frame, grid, points);
    full.finish();
    CHECK(full.points(1, 1) == doctest::Approx(100.0 * most).epsilon(1e-9));
    CHECK(full.points(0, 0) == 0);

    SurfaceTile over;
    over.begin({0, 0, 3, 3});
    for (int i = 0; i < most + 1; ++i)
        over.add(outlines, frame, grid, points);
    CHECK_THROWS_AS(over.finish(), Error);
}
