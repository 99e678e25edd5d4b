// SPDX-License-Identifier: Apache-2.0

// Closed forms around one square house: strips parallel to its eastern wall, by ring.
#pragma once

#include <array>
#include <cmath>
#include <numbers>

namespace fuelring::test {

inline constexpr std::array<const char*, 4> rings{"0_1.5m", "1.5_10m", "10_30m", "30_100m"};
inline constexpr std::array outer_m{0.0, 1.5, 10.0, 30.0, 100.0};
inline constexpr double house_m = 12;

/// Area of {distance to a square of side a at most r} beyond a line parallel to a wall at distance
/// d outside it: a strip and a circular segment, half at either corner.
/// Source: the circular segment formula, Bronshtein and Semendyayev, Handbook of Mathematics
/// (from memory); the decomposition is by hand.
inline double beyond_line_m2(double d, double r)
{
    if (d >= r)
        return 0;
    return house_m * (r - d) + r * r * std::acos(d / r) - d * std::sqrt((r - d) * (r + d));
}

/// Of the ring that ends at outer_m[k + 1], between two lines parallel to a wall.
inline double strip_in_ring_m2(double from_m, double to_m, std::size_t k)
{
    const auto within = [&](double r) {
        return beyond_line_m2(from_m, r) - beyond_line_m2(to_m, r);
    };
    return within(outer_m[k + 1]) - within(outer_m[k]);
}

/// Square metres of a ring around the square house (Steiner's formula).
inline double ring_m2(std::size_t k)
{
    const auto within = [](double r) { return 4 * house_m * r + std::numbers::pi * r * r; };
    return within(outer_m[k + 1]) - within(outer_m[k]);
}

} // namespace fuelring::test
