// SPDX-License-Identifier: Apache-2.0
#include "ground.hpp"

#include <doctest/doctest.h>

using namespace fuelring;
using namespace fuelring::test;
using doctest::Approx;

namespace {

constexpr double within_m = 30;
const Footprint house = rectangle(10, 6); // its wall uphill is at x = 0 where the ground falls east

/// Heights along the way uphill, as a run reads them.
template <typename Height>
std::optional<double> break_on(const HeightLattice& lattice, double fall, double reach_m,
                               Height height)
{
    const UphillLine line{house, lattice, {1, 0}, within_m, reach_m};
    const HeightWindow window =
        heights_of(lattice, lattice.cells_in({{-reach_m - 5, -10}, {5, 10}}), height);
    std::vector<double> heights_m;
    for (std::int64_t k = 0; k <= line.steps; ++k)
        heights_m.push_back(window.between(lattice.cell_of(line.at(k))));
    return slope_break_m(line, heights_m, fall);
}

/// Ground that falls to the east by 0.3 and is level from `crest_m` west of the wall on.
auto crest_at(double crest_m)
{
    return [crest_m](Point p) { return 500 - 0.3 * std::max(p.x, -crest_m); };
}

} // namespace

TEST_CASE("the break is where a slope ends in level ground, to a cell")
{
    for (const double crest_m : {20.0, 31.0, 55.0, 80.0}) {
        CAPTURE(crest_m);
        const auto found = break_on(turned_lattice(0.4, 1, 1), 0.3, 100, crest_at(crest_m));
        REQUIRE(found);
        CHECK(*found == Approx(crest_m).epsilon(1.0 / crest_m));
    }
}

TEST_CASE("a slope that goes on, or breaks beyond reach, has no break")
{
    const HeightLattice lattice = turned_lattice(0.4, 1, 1);
    CHECK_FALSE(break_on(lattice, 0.3, 100, Plane{0.3, 0}));
    CHECK_FALSE(break_on(lattice, 0.3, 100, crest_at(90)));  // the stretch would end at 105 m
    CHECK_FALSE(break_on(lattice, 0.3, 100, Plane{0.2, 0})); // more than half as steep
}

TEST_CASE("a house on the crest itself has its break at the wall")
{
    CHECK(break_on(turned_lattice(0.4, 1, 1), 0.3, 100, crest_at(0)) == 0.0);
    CHECK(break_on(turned_lattice(0, 5, 5), 0.3, 100, crest_at(10)) == 0.0);
}

TEST_CASE("single gaps are passed over, unknown ground ends the way")
{
    const HeightLattice lattice = turned_lattice(0, 1, 1);
    const auto ground = crest_at(60);
    const auto with_gap = [&](double from, double to) {
        return break_on(lattice, 0.3, 100,
                        [&](Point p) { return p.x < -from && p.x > -to ? gap : ground(p); });
    };
    REQUIRE(with_gap(20, 24));
    CHECK(*with_gap(20, 24) == Approx(60).epsilon(1.0 / 60));
    CHECK_FALSE(with_gap(20, 45));
}

TEST_CASE("noise of a laser scan does not make breaks, nor hide them")
{
    std::mt19937_64 rng{99};
    std::normal_distribution<double> noise{0, 0.2};
    // A line through 31 heights a metre apart has a slope good to 0.2 sqrt(12 / 31^3) = 0.4 %: of
    // 15 % that the rule leaves, far away. The middle is then off by the change that 0.4 % makes:
    // the line's slope changes by 1.5 x 0.3 / 30 a metre there, so 0.3 m; four of them and a cell.
    for (int round = 0; round < 20; ++round) {
        CHECK_FALSE(break_on(turned_lattice(0, 1, 1), 0.3, 100, [&](Point p) {
            return Plane{0.3, 0}(p) + noise(rng);
        }));
        const auto found = break_on(turned_lattice(0, 1, 1), 0.3, 100,
                                    [&](Point p) { return crest_at(50)(p) + noise(rng); });
        REQUIRE(found);
        CHECK(std::abs(*found - 50) < 2.2);
    }
}

TEST_CASE("coarse cells are stepped one by one, two make a stretch; fine cells are skipped over")
{
    const UphillLine coarse{house, turned_lattice(0, 90, 90), {1, 0}, within_m, 300};
    CHECK(coarse.step_m == 90);
    CHECK(coarse.steps_in_stretch == 2);
    CHECK(coarse.steps == 3);
    const UphillLine fine{house, turned_lattice(0, 0.01, 0.01), {1, 0}, within_m, 100};
    CHECK(fine.step_m == 30.0 / 64);
    CHECK(fine.steps_in_stretch == 64);
    CHECK(fine.start.x == 0);
}
