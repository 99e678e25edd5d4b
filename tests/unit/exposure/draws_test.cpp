// SPDX-License-Identifier: Apache-2.0
#include "change/shifts.hpp"
#include "exposure/draws.hpp"
#include "exposure/percentile.hpp"
#include "support/closed_forms.hpp"
#include "support/fuel_fixtures.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>

using namespace fuelring;
using namespace fuelring::test;
using doctest::Approx;

namespace {

const RingPlan default_rings{};
constexpr double half_turn = 3.14159265358979323846;

/// Cells that rings of a footprint near the origin may touch under shifts.
CellRect around(const Grid& grid)
{
    return grid.cells_of({}, {{-250, -250}, {250, 250}});
}

struct Drawn {
    std::vector<StructureMeasure> measures;
    StructureDraws draws;
};

Drawn drawn(const Footprint& footprint, const std::vector<Point>& shifts, const Grid& grid,
            const FuelWindow& fuel, const RingStretch& stretch = {})
{
    std::vector<double> exposures(shifts.size());
    const RingOutlines outlines = ring_outlines(footprint, default_rings, stretch);
    std::vector<StructureMeasure> measures = measure_shifted(outlines, shifts, {}, grid, fuel);
    StructureDraws draws = spreads_of(measures, default_rings, exposures);
    return {std::move(measures), std::move(draws)};
}

void check_spread(const Spread& spread, std::vector<double> expected, double tolerance)
{
    std::sort(expected.begin(), expected.end());
    CHECK(std::abs(spread.p05.value() - *percentile(expected, 5)) < tolerance);
    CHECK(std::abs(spread.p95.value() - *percentile(expected, 95)) < tolerance);
}

} // namespace

TEST_CASE("a draw without a shift has the bits of the run, on slopes too")
{
    std::mt19937_64 rng{20261125};
    const Grid grid = square_grid(1, 500, 500);
    const FuelWindow fuel = window(around(grid), RandomFuel{3});
    for (int k = 0; k < 6; ++k) {
        CAPTURE(k);
        const Footprint house = random_star(rng, 5 + k, 3, 9);
        const RingStretch stretch = k % 2 ? random_stretch(rng) : RingStretch{};
        const RingOutlines outlines = ring_outlines(house, default_rings, stretch);
        const StructureMeasure run = measure(house, outlines, {}, grid, fuel, default_rings);
        const std::vector<Point> shifts{{0, 0}, {0.3, -0.7}};
        const Drawn draw = drawn(house, shifts, grid, fuel, stretch);
        REQUIRE(draw.measures.front().rings.size() == run.rings.size());
        for (std::size_t r = 0; r < run.rings.size(); ++r) {
            const RingArea& a = draw.measures.front().rings[r];
            CHECK(a.ring_m2 == run.rings[r].ring_m2);
            CHECK(a.mapped_m2 == run.rings[r].mapped_m2);
            CHECK(a.conifer_m2 == run.rings[r].conifer_m2);
            CHECK(a.other_burnable_m2 == run.rings[r].other_burnable_m2);
            CHECK(a.unmapped_m2 == run.rings[r].unmapped_m2);
        }
    }
}

TEST_CASE("a shift measures what a footprint drawn there would have")
{
    std::mt19937_64 rng{7};
    const Grid grid = square_grid(2, 500, 500);
    const FuelWindow fuel = window(around(grid), RandomFuel{11});
    const std::vector<Point> shifts = registration_shifts(5, 3.0);
    for (int k = 0; k < 3; ++k) {
        const Footprint house = random_star(rng, 7, 3, 9);
        const RingStretch stretch = random_stretch(rng);
        const Drawn draw = drawn(house, shifts, grid, fuel, stretch);
        for (std::size_t d = 0; d < shifts.size(); ++d) {
            CAPTURE(d);
            Footprint moved = house;
            for (Loop& loop : moved.loops)
                for (Point& p : loop)
                    p = p + shifts[d];
            const StructureMeasure there = measure(
                moved, ring_outlines(moved, default_rings, stretch), {}, grid, fuel, default_rings);
            for (std::size_t r = 0; r < there.rings.size(); ++r) {
                const double most = 1e-11 * there.rings[r].ring_m2; // coordinates of 1e2 m
                CHECK(std::abs(draw.measures[d].rings[r].conifer_m2 - there.rings[r].conifer_m2) <
                      most);
                CHECK(std::abs(draw.measures[d].rings[r].mapped_m2 - there.rings[r].mapped_m2) <
                      most);
            }
        }
    }
}

TEST_CASE("beside conifers beyond a line the draws follow the closed form of the shifted line")
{
    constexpr double side = 12;
    constexpr double line = 2.25; // from the wall; shifts of 1 m bring it into the innermost ring
    const Grid grid = square_grid(1, 500, 500);
    // The line stands on the frame's column 0, the house left of it.
    const Footprint house = rectangle(side, side, {-line - side, 0.375});
    const FuelWindow fuel = window(
        around(grid), [](std::int64_t, std::int64_t col) { return col >= 0 ? conifer : grass; });
    const std::vector<Point> shifts = registration_shifts(32, 1.0);
    const StructureDraws draws = drawn(house, shifts, grid, fuel).draws;
    std::vector<double> exposures(shifts.size());
    double inner = 0;
    for (std::size_t r = 0; r < default_rings.outer_m.size(); ++r) {
        CAPTURE(r);
        const double outer = default_rings.outer_m[r];
        const double ring_m2 =
            4 * side * (outer - inner) + half_turn * (outer * outer - inner * inner);
        std::vector<double> fractions;
        for (std::size_t d = 0; d < shifts.size(); ++d) {
            const double gap = line - shifts[d].x;
            fractions.push_back(
                (beyond_line_m2(side, gap, outer) - beyond_line_m2(side, gap, inner)) / ring_m2);
            exposures[d] += 100 * default_rings.weight[r] * fractions[d];
        }
        check_spread(draws.conifer_frac[r], fractions, 1e-11);
        inner = outer;
    }
    check_spread(draws.exposure, exposures, 1e-9);
    CHECK(draws.exposure.p95.value() - draws.exposure.p05.value() > 2); // it matters here
    CHECK(draws.with_exposure == 32);
}

TEST_CASE("a shift of a nanometre changes nothing but rounding")
{
    std::mt19937_64 rng{5};
    const Grid grid = square_grid(1, 500, 500);
    const FuelWindow fuel = window(around(grid), RandomFuel{17, 4, 1});
    const Footprint house = random_star(rng, 8, 4, 9);
    const RingOutlines outlines = ring_outlines(house, default_rings);
    const StructureMeasure run = measure(house, outlines, {}, grid, fuel, default_rings);
    const StructureDraws draws = drawn(house, registration_shifts(32, 1e-9), grid, fuel).draws;
    for (std::size_t r = 0; r < run.rings.size(); ++r) {
        CAPTURE(r);
        // At most 1e-9 m by the length of both boundaries, of which a ring of width w has less
        // than two of its area / w, and four with the wall of a star.
        const double tolerance =
            4e-9 / (default_rings.outer_m[r] - (r ? default_rings.outer_m[r - 1] : 0)) + 1e-12;
        const double frac = run.rings[r].conifer_frac().value();
        CHECK(std::abs(draws.conifer_frac[r].p05.value() - frac) < tolerance);
        CHECK(std::abs(draws.conifer_frac[r].p95.value() - frac) < tolerance);
    }
    CHECK(std::abs(draws.exposure.p05.value() - exposure(run, default_rings).value()) < 1e-6);
    CHECK(std::abs(draws.exposure.p95.value() - exposure(run, default_rings).value()) < 1e-6);
}

TEST_CASE("where all ground is alike no shift matters")
{
    const Grid grid = square_grid(1, 500, 500);
    const FuelWindow fuel = window(around(grid), [](auto, auto) { return half_conifer; });
    const StructureDraws draws =
        drawn(rectangle(11, 8, {-3.3, -2.1}), registration_shifts(16, 5), grid, fuel).draws;
    for (const Spread& ring : draws.conifer_frac) {
        CHECK(std::abs(ring.p05.value() - 0.5) < 1e-12);
        CHECK(std::abs(ring.p95.value() - 0.5) < 1e-12);
    }
    CHECK(std::abs(draws.exposure.p95.value() - draws.exposure.p05.value()) < 1e-10);
}

TEST_CASE("a tree that only shifts bring into the widest ring is seen")
{
    const Grid grid = square_grid(1, 500, 500);
    // 100 m from the wall end within column 99: the tree's cell begins 1 m beyond.
    const Footprint house = rectangle(10, 10, {-10.5, 0});
    const FuelWindow fuel = window(around(grid), [](std::int64_t row, std::int64_t col) {
        return row == -5 && col == 100 ? conifer : grass;
    });
    const std::vector<Point> still{{0, 0}, {0.4, 0}, {-3, 1}};
    CHECK(drawn(house, still, grid, fuel).draws.exposure.p95 == 0.0);
    const Drawn moved = drawn(house, {{0, 0}, {1.5, 0}}, grid, fuel);
    CHECK(moved.measures[0].rings[3].conifer_m2 == 0);
    CHECK(moved.measures[1].rings[3].conifer_m2 ==
          Approx(1).epsilon(0.01)); // all but the arc's edge
}

TEST_CASE("draws in which nothing is mapped are left out and counted")
{
    const RingPlan one{{10}, {1}};
    const auto at = [](double mapped, double conifer) {
        StructureMeasure m;
        m.rings = {{100, mapped, conifer, 0, 100 - mapped}};
        return m;
    };
    const std::vector<StructureMeasure> measures{at(100, 20), at(0.05, 0.05), at(50, 20), at(0, 0)};
    std::vector<double> exposures(4);
    const StructureDraws draws = spreads_of(measures, one, exposures);
    CHECK(draws.with_exposure == 2);
    CHECK(draws.exposure.p05.value() == Approx(21).epsilon(1e-14)); // of 20 and 40
    CHECK(draws.exposure.p95.value() == Approx(39).epsilon(1e-14));
    CHECK(std::isnan(exposures[1]));

    std::vector<double> none(1);
    const StructureDraws never = spreads_of(std::span{measures}.last(1), one, none);
    CHECK(never.with_exposure == 0);
    CHECK_FALSE(never.exposure.p05.has_value());
    CHECK_FALSE(never.conifer_frac[0].p95.has_value());
}
