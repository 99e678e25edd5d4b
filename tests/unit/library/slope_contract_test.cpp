// SPDX-License-Identifier: Apache-2.0
#include "support/fuel_fixtures.hpp"
#include "unit/library/refused.hpp"

#include <fuelring/slope.hpp>

#include <doctest/doctest.h>

#include <limits>

using namespace fuelring;
using namespace fuelring::test;

namespace {

const HeightLattice lattice{{0, 0}, {0.5, -0.5}, {1, 0}, {0, -1}};

} // namespace

TEST_CASE("heights ask for a lattice that spans the ground and as many numbers as cells")
{
    const Footprint house = rectangle(10, 8);
    const HeightWindow window{{0, 0, 2, 2}, {1, 2, 3, 4}};
    const HeightWindow less{{0, 0, 2, 2}, {1, 2, 3}};
    const auto fit = [&house](const HeightLattice& on, double within_m) {
        return [&house, on, within_m] { (void)SlopeFit{house, on, within_m}; };
    };
    const Refused rows[] = {
        {"parallel", fit({{0, 0}, {0, 0}, {1, 1}, {2, 2}}, 20), "HeightLattice: steps are"},
        {"no step", fit({{0, 0}, {0, 0}, {0, 0}, {0, -1}}, 20), "HeightLattice: steps are"},
        {"NaN", fit({{0, 0}, {not_a_number, 0}, {1, 0}, {0, -1}}, 20), "HeightLattice: steps are"},
        {"nearly parallel", fit({{0, 0}, {0, 0}, {1, 1}, {1, 1.0000001}}, 20),
         "HeightLattice: steps"},
        {"far origin", fit({{0, 0}, {1e200, 0}, {1, 0}, {0, -1}}, 20), "HeightLattice: steps"},
        {"tiny steps", fit({{0, 0}, {0, 0}, {1e-200, 0}, {0, -1}}, 20), "HeightLattice: steps"},
        {"far cell", fit({{most, 0}, {0, 0}, {1, 0}, {0, -1}}, 20), "the cell is too far off"},
        {"below 0", fit(lattice, -1), "SlopeFit: the distance"},
        {"NaN distance", fit(lattice, not_a_number), "SlopeFit: the distance"},
        {"no house",
         [] {
             (void)SlopeFit{{}, lattice, 20};
         },
         "it has no loops"},
        {"NaN box",
         [] {
             (void)lattice.cells_in({{0, 0}, {not_a_number, 1}});
         },
         "cells_in: the box"},
        {"far box",
         [] {
             (void)lattice.cells_in({{0, 0}, {1e300, 1}});
         },
         "cells_in: the box"},
        {"fewer heights",
         [&] {
             SlopeFit{house, lattice, 20}.take(less);
         },
         "as many heights"},
        {"rows again",
         [&] {
             SlopeFit slope{house, lattice, 20};
             slope.take(window);
             slope.take(window);
         },
         "rows come once"},
    };
    check_refused(rows);
    CHECK_THROWS_AS((void)less.at(1, 1), std::out_of_range);
    CHECK(window.between({0.5, 0.5}) == 2.5);
    for (const Point outside : {Point{5, 0}, {0, -3}, {not_a_number, 0}, {0, 1e300}, {-1e300, 0}})
        CHECK(std::isnan(window.between(outside)));
}

TEST_CASE("a height that is not finite is not known")
{
    const Footprint house = rectangle(4, 4);
    SlopeFit slope{house, lattice, 8};
    HeightWindow heights{slope.cells(), {}};
    for (std::int64_t row = 0; row < heights.rect.rows; ++row)
        for (std::int64_t col = 0; col < heights.rect.cols; ++col)
            heights.height_m.push_back((row + col) % 7 == 0
                                           ? std::numeric_limits<double>::infinity()
                                           : 0.25 * static_cast<double>(col));
    slope.take(heights);
    const auto found = slope.fit();
    REQUIRE(found);
    CHECK(found->fall == doctest::Approx(0.25));
}

TEST_CASE("a way uphill asks for a direction and for steps that can be counted")
{
    const Footprint house = rectangle(10, 8);
    const auto line = [&house](const HeightLattice& on, Point downhill, double stretch_m,
                               double reach_m) {
        return [=, &house] { (void)UphillLine{house, on, downhill, stretch_m, reach_m}; };
    };
    UphillLine empty{house, lattice, {1, 0}, 10, 100};
    empty.steps_in_stretch = 0;
    const UphillLine good{house, lattice, {1, 0}, 10, 100};
    const Refused rows[] = {
        {"no direction", line(lattice, {0, 0}, 10, 100), "downhill is a unit vector"},
        {"NaN direction", line(lattice, {not_a_number, 0}, 10, 100), "downhill is a unit vector"},
        {"no stretch", line(lattice, {1, 0}, 0, 100), "distances are above 0"},
        {"NaN reach", line(lattice, {1, 0}, 10, not_a_number), "distances are above 0"},
        {"no lattice", line({}, {1, 0}, 10, 100), "HeightLattice: steps are"},
        {"steps without end", line({{}, {}, {1e-6, 0}, {0, -1e-6}}, {1, 0}, 1e-6, 1e8),
         "too many steps"},
        {"no house",
         [] {
             (void)UphillLine{{}, lattice, {1, 0}, 10, 100};
         },
         "it has no loops"},
        {"no steps",
         [&] {
             (void)slope_break_m(empty, {1, 2, 3}, 0.1);
         },
         "a line of steps"},
        {"NaN fall",
         [&] {
             (void)slope_break_m(good, {1, 2, 3}, not_a_number);
         },
         "a line of steps"},
    };
    check_refused(rows);
    CHECK_FALSE(slope_break_m(good, {}, 0.1));
}
