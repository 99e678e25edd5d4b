// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace fuelring::test {

/// What can happen to a file on its way: on a disk, over a line, in a careless editor; and what
/// somebody does who looks for a way in (numbers at the end of their range, in the header).
enum class Damage { bits, bytes, number, zeros, noise, swapped, cut, longer };
inline constexpr std::array<std::string_view, 8> damage_names = {
    "bits", "bytes", "number", "zeros", "noise", "swapped", "cut", "longer"};

struct Variant {
    std::string bytes;
    Damage damage{};
};

/// The variant of a file that belongs to a number: the same number, the same variant. Half of them
/// are damaged near an end of the file, where formats keep what they know about themselves.
Variant damaged(const std::string& pristine, std::uint64_t number);

} // namespace fuelring::test
