// SPDX-License-Identifier: Apache-2.0
#include "ground.hpp"
#include "terrain/cells_around.hpp"

#include <doctest/doctest.h>

using namespace fuelring;
using namespace fuelring::test;

namespace {

/// Compares the rows of a lattice with distances taken cell by cell; the number of cells chosen.
std::int64_t chosen_as_by_hand(const Footprint& footprint, const HeightLattice& lattice,
                               double within_m)
{
    CellsAround around{footprint, lattice, within_m};
    const Box box = bounds(footprint);
    const Point far{within_m + 3, within_m + 3};
    const CellRect rect = lattice.cells_in({box.min - far, box.max + far});
    std::vector<std::uint8_t> chosen(static_cast<std::size_t>(rect.cols));
    std::int64_t count = 0;
    for (std::int64_t row = rect.row; row < rect.row + rect.rows; ++row) {
        around.choose(row, rect.col, chosen);
        for (std::size_t k = 0; k < chosen.size(); ++k) {
            const Point p = lattice.centre(rect.col + static_cast<std::int64_t>(k), row);
            const double d = distance(p, footprint);
            if (d < 1e-9 || std::abs(d - within_m) < 1e-9)
                continue; // on the line: either will do
            CAPTURE(p.x);
            CAPTURE(p.y);
            CHECK((chosen[k] == 1) == (d < within_m && !contains(footprint, p)));
            count += chosen[k];
        }
    }
    return count;
}

} // namespace

TEST_CASE("cells are those whose centre is within the distance and not on the footprint")
{
    constexpr std::uint64_t seed = 20261125;
    CAPTURE(seed);
    std::mt19937_64 rng{seed};
    std::uniform_real_distribution<double> angle{0, 2 * std::numbers::pi};
    for (int round = 0; round < 12; ++round) {
        const Footprint star = random_star(rng, 7, 3, 11, {4, -2});
        const HeightLattice lattice = turned_lattice(angle(rng), 1.3, 0.9, round % 2 == 1);
        CHECK(chosen_as_by_hand(star, lattice, 8) > 300);
    }
}

TEST_CASE("a courtyard is ground, and so is a lattice that is sheared")
{
    const Footprint yard = normalised({{{{0, 0}, {30, 0}, {30, 20}, {0, 20}}, false},
                                       {{{8, 6}, {22, 6}, {22, 14}, {8, 14}}, true}});
    HeightLattice sheared = turned_lattice(0.2, 1, 1);
    sheared.row_step = sheared.row_step + Point{0.4, 0.1};
    CHECK(chosen_as_by_hand(yard, turned_lattice(0, 1, 1), 5) > 600);
    CHECK(chosen_as_by_hand(yard, sheared, 5) > 600);
}
