// SPDX-License-Identifier: Apache-2.0

// Areas around a square of side a, for comparison with what is measured.
#pragma once

#include <cmath>
#include <numbers>

namespace fuelring::test {

/// Area of {distance to the square at most r} beyond a line parallel to a side at distance d
/// outside it. Strip a (r - d), plus a circular segment of height r - d (half at either corner):
/// r^2 acos(d / r) - d sqrt(r^2 - d^2).
/// Source: the circular segment formula, Bronshtein and Semendyayev, Handbook of Mathematics
/// (from memory); the decomposition is by hand.
inline double beyond_line_m2(double a, double d, double r)
{
    if (d >= r)
        return 0;
    return a * (r - d) + r * r * std::acos(d / r) - d * std::sqrt((r - d) * (r + d));
}

/// Area of the square grown by r. Source: Steiner's formula (from memory).
inline double grown_m2(double a, double r)
{
    return a * a + 4 * a * r + std::numbers::pi * r * r;
}

} // namespace fuelring::test
