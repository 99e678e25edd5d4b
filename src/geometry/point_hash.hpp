// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

#include <bit>
#include <cstdint>

namespace fuelring {

/// Every bit of the result depends on every bit of `h`: the last step of MurmurHash3 (`fmix64`;
/// Appleby, in the public domain).
/// Law: one to one, since x ^ (x >> 33) and products with odd numbers can be undone; 0 stays 0.
inline std::uint64_t mixed(std::uint64_t h)
{
    h = (h ^ (h >> 33)) * 0xff51afd7ed558ccdU;
    h = (h ^ (h >> 33)) * 0xc4ceb9fe1a85ec53U;
    return h ^ (h >> 33);
}

/// Of the bits of both coordinates; 0 and -0 are one number. Sums of hashes of the points entered
/// and of the points left are equal where a boundary closes, and hardly by chance where it does
/// not.
/// Law: (x, y) and (y, x) differ, but for chance. Sums are modulo 2^64 and so the same in any
/// order. No hash of untrusted input: who knows the constants can make collisions.
inline std::uint64_t hash_of(Point p)
{
    return mixed(mixed(std::bit_cast<std::uint64_t>(p.x + 0.0)) +
                 std::bit_cast<std::uint64_t>(p.y + 0.0));
}

} // namespace fuelring
