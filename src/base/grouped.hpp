// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>

namespace fuelring {

/// A whole number for people, three digits a group: "20,000". Not for files.
inline std::string grouped(std::int64_t count)
{
    std::string text = std::to_string(count);
    const std::size_t first = count < 0 ? 1 : 0;
    for (std::size_t at = text.size(); at > first + 3; at -= 3)
        text.insert(at - 3, 1, ',');
    return text;
}

} // namespace fuelring
