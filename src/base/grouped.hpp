// SPDX-License-Identifier: Apache-2.0

// Numbers as people read them in English; files keep their digits together.
#pragma once

#include <fmt/format.h>

#include <cstddef>
#include <cstdint>
#include <string>

namespace fuelring {

/// "20,000": a comma between thousands. `count` is 0 or more.
inline std::string grouped(std::int64_t count)
{
    std::string text = std::to_string(count);
    for (std::size_t at = text.size(); at > 3; at -= 3)
        text.insert(at - 3, 1, ',');
    return text;
}

/// "1,471.5", "-1,471.5".
inline std::string grouped_tenths(double value)
{
    std::string text = fmt::format("{:.1f}", value);
    constexpr std::size_t of_tenths = 2; // the point and a digit
    for (std::size_t at = text.size() - of_tenths; at > 3 && text[at - 4] != '-'; at -= 3)
        text.insert(at - 3, 1, ',');
    return text;
}

} // namespace fuelring
