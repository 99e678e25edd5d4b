// SPDX-License-Identifier: Apache-2.0
#include "damage/damage.hpp"

#include <algorithm>
#include <cstring>
#include <random>

namespace fuelring::test {

namespace {

constexpr std::size_t near_an_end = 600;

/// std::uniform_int_distribution differs between libraries; this is good enough and does not.
class Dice {
public:
    explicit Dice(std::uint64_t seed) : engine_{seed} {}
    std::size_t below(std::size_t n) { return n < 2 ? 0 : static_cast<std::size_t>(engine_() % n); }

private:
    std::mt19937_64 engine_;
};

std::size_t place_in(const std::string& bytes, Dice& dice)
{
    const std::size_t end = std::min(near_an_end, bytes.size());
    switch (dice.below(4)) {
    case 0:
        return dice.below(end);
    case 1:
        return bytes.size() - 1 - dice.below(end);
    default:
        return dice.below(bytes.size());
    }
}

std::size_t length_from(const std::string& bytes, std::size_t at, std::size_t most, Dice& dice)
{
    return 1 + dice.below(std::min(most, bytes.size() - at));
}

void extreme_number(std::string& bytes, std::size_t at, Dice& dice)
{
    constexpr std::uint64_t extremes[] = {0,          1,          0x7f,       0x80,
                                          0xff,       0x7fff,     0xffff,     0x7fffffff,
                                          0x80000000, 0xffffffff, 0x3fffffff, ~std::uint64_t{0},
                                          1U << 24,   0x7ff8,     1U << 30,   0x7ff0000000000000};
    const std::uint64_t value = extremes[dice.below(std::size(extremes))];
    const std::size_t width = std::size_t{1} << dice.below(4);
    std::array<char, sizeof value> little{};
    std::memcpy(little.data(), &value, sizeof value);
    if (dice.below(3) == 0) // as big-endian formats write it
        std::reverse(little.begin(), little.begin() + static_cast<std::ptrdiff_t>(width));
    const std::size_t aligned = at - at % width;
    std::copy_n(little.begin(), std::min(width, bytes.size() - aligned),
                bytes.begin() + static_cast<std::ptrdiff_t>(aligned));
}

void swap_blocks(std::string& bytes, std::size_t at, Dice& dice)
{
    const std::size_t size =
        length_from(bytes, at, std::max<std::size_t>(bytes.size() / 4, 1), dice);
    const std::size_t other = dice.below(bytes.size() - size + 1);
    for (std::size_t k = 0; k < size; ++k)
        std::swap(bytes[at + k], bytes[other + k]);
}

} // namespace

Variant damaged(const std::string& pristine, std::uint64_t number)
{
    Dice dice{number * 0x9e3779b97f4a7c15U + 1};
    Variant variant{pristine, static_cast<Damage>(dice.below(damage_names.size()))};
    std::string& bytes = variant.bytes;
    if (bytes.empty())
        return {"x", Damage::longer};
    const std::size_t at = place_in(bytes, dice);
    const auto here = bytes.begin() + static_cast<std::ptrdiff_t>(at);
    const auto end_of = [&](std::size_t most) {
        return here + static_cast<std::ptrdiff_t>(length_from(bytes, at, most, dice));
    };
    const auto any = [&] { return static_cast<char>(dice.below(256)); };
    switch (variant.damage) {
    case Damage::bits:
        for (std::size_t k = 1 + dice.below(4); k > 0; --k)
            bytes[place_in(bytes, dice)] ^= static_cast<char>(1U << dice.below(8));
        break;
    case Damage::bytes:
        std::generate(here, end_of(8), any);
        break;
    case Damage::number:
        extreme_number(bytes, at, dice);
        break;
    case Damage::zeros:
        std::fill(here, end_of(4096), '\0');
        break;
    case Damage::noise:
        std::generate(here, end_of(4096), any);
        break;
    case Damage::swapped:
        swap_blocks(bytes, at, dice);
        break;
    case Damage::cut:
        bytes.resize(at);
        break;
    case Damage::longer:
        bytes.insert(at, bytes.substr(dice.below(bytes.size()), 1 + dice.below(4096)));
        break;
    }
    return variant;
}

} // namespace fuelring::test
