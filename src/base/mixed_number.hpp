// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>

namespace fuelring {

/// What SplitMix64 counts on by.
inline constexpr std::uint64_t golden_step = 0x9e3779b97f4a7c15;

/// The last step of SplitMix64: one to one on numbers of 64 bits, and even.
/// Source: Steele, Lea and Flood 2014, Fast splittable pseudorandom number generators (constants
/// from memory).
constexpr std::uint64_t mixed(std::uint64_t z)
{
    z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9;
    z = (z ^ (z >> 27U)) * 0x94d049bb133111eb;
    return z ^ (z >> 31U);
}

/// A number that depends on seed and two numbers alone: mix(mix(mix(seed + g) + a) + b), modulo
/// 2^64.
constexpr std::uint64_t mixed_number(std::uint64_t seed, std::uint64_t a, std::uint64_t b)
{
    return mixed(mixed(mixed(seed + golden_step) + a) + b);
}

/// Its upper 53 bits over 2^53: 0 to below 1.
constexpr double share_of_number(std::uint64_t number)
{
    return static_cast<double>(number >> 11U) * 0x1p-53;
}

} // namespace fuelring
