// SPDX-License-Identifier: Apache-2.0
#include "exposure/percentile.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace fuelring {

std::optional<double> percentile(std::span<const double> rising, double percent)
{
    if (!(percent >= 0 && percent <= 100))
        throw std::logic_error{"a percentile lies between 0 and 100"};
    if (rising.empty())
        return std::nullopt;
    const double place = percent * static_cast<double>(rising.size() - 1) / 100;
    // std::lerp is exact at both ends and never leaves them, so equal values give themselves.
    const auto below = static_cast<std::size_t>(place);
    const std::size_t above = std::min(below + 1, rising.size() - 1);
    return std::lerp(rising[below], rising[above], place - static_cast<double>(below));
}

} // namespace fuelring
