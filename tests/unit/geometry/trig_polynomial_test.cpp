// SPDX-License-Identifier: Apache-2.0
#include "geometry/trig_polynomial.hpp"
#include "unit/geometry/shapes.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

TEST_CASE("a trigonometric polynomial of degree 2 gives its roots, up to four a turn")
{
    Dice dice{5};
    int found_most = 0;
    for (int trial = 0; trial < 500; ++trial) {
        const TrigPolynomial f{dice.between(-0.5, 0.5), dice.between(-1, 1), dice.between(-1, 1),
                               dice.between(-1, 1), dice.between(-1, 1)};
        std::vector<double> found;
        roots(f, -1, 2 * pi - 1, found);
        int changes = 0; // of sign, on a fine comb
        for (int k = 0; k < 20000; ++k)
            changes += (f(-1 + 2 * pi * k / 20000) > 0) != (f(-1 + 2 * pi * (k + 1) / 20000) > 0);
        CAPTURE(trial);
        CHECK(static_cast<int>(found.size()) == changes);
        for (const double t : found)
            CHECK(std::abs(f(t)) < 1e-14 * 8);
        found_most = std::max(found_most, static_cast<int>(found.size()));
    }
    CHECK(found_most == 4);
}

} // namespace fuelring
