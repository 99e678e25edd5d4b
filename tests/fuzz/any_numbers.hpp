// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <string_view>
#include <vector>

namespace fuelring::test {

/// Numbers of any kind, taken from bytes one after the other.
class Bytes {
public:
    explicit Bytes(std::string_view bytes) : bytes_(bytes) {}

    /// 0 where none are left.
    std::uint8_t byte()
    {
        if (bytes_.empty())
            return 0;
        const auto first = static_cast<std::uint8_t>(bytes_.front());
        bytes_.remove_prefix(1);
        return first;
    }
    std::size_t up_to(std::size_t most) { return byte() % (most + 1); }
    /// Mostly quarters on a small lattice, where things touch; sometimes anything a double holds.
    double number()
    {
        constexpr std::array odd{0.0,
                                 -0.0,
                                 1e-9,
                                 1e-300,
                                 1e8,
                                 1e9,
                                 1e300,
                                 -1e308,
                                 static_cast<double>(NAN),
                                 static_cast<double>(INFINITY)};
        const std::uint8_t kind = byte();
        if (kind < 200)
            return (kind - 100) / 4.0;
        if (kind < 240)
            return static_cast<std::int16_t>(byte() * 256 + byte()) / 300.0;
        if (kind < 246)
            return odd[up_to(odd.size() - 1)];
        std::array<std::uint8_t, 8> raw{};
        for (std::uint8_t& b : raw)
            b = byte();
        double value = 0;
        std::memcpy(&value, raw.data(), sizeof value);
        return value;
    }
    std::vector<double> numbers(std::size_t most)
    {
        std::vector<double> list(up_to(most));
        for (double& v : list)
            v = number();
        return list;
    }

private:
    std::string_view bytes_;
};

} // namespace fuelring::test
