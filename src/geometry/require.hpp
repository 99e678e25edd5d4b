// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

#include <cmath>
#include <stdexcept>

namespace fuelring {

/// What a caller of the library must see to. `what`: the function, and what it asks for.
/// Throws: std::invalid_argument unless `good`.
/// For slips of the program; what a user got wrong is an Error.
inline void require(bool good, const char* what)
{
    if (!good)
        throw std::invalid_argument{what};
}

/// No further than `most_m` from the origin along either axis; false for NaN, too.
/// Why a limit: products of coordinates stay far from overflow, and a double still resolves 1e-7 m
/// at farthest_local_m.
inline bool is_local(Point p, double most_m = farthest_local_m)
{
    return std::abs(p.x) <= most_m && std::abs(p.y) <= most_m;
}

} // namespace fuelring
