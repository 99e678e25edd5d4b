// SPDX-License-Identifier: Apache-2.0

// Closed forms around one square house: strips parallel to its eastern wall, by ring.
#pragma once

#include "support/closed_forms.hpp"

#include <array>

namespace fuelring::test {

inline constexpr std::array<const char*, 4> rings{"0_1.5m", "1.5_10m", "10_30m", "30_100m"};
inline constexpr std::array outer_m{0.0, 1.5, 10.0, 30.0, 100.0};
inline constexpr double house_m = 12;

/// Of the ring that ends at outer_m[k + 1], between two lines parallel to a wall.
inline double strip_in_ring_m2(double from_m, double to_m, std::size_t k)
{
    const auto within = [&](double r) {
        return beyond_line_m2(house_m, from_m, r) - beyond_line_m2(house_m, to_m, r);
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
