// SPDX-License-Identifier: Apache-2.0
#include "run/config/config_parts.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace fuelring {

void read_appraise(const ConfigTable& root, AppraiseSettings& settings)
{
    constexpr std::size_t most_thresholds = 20;
    const auto table = root.table("appraise");
    if (!table)
        return;
    settings.thresholds = table->numbers("thresholds").value_or(settings.thresholds);
    settings.budget = table->number("budget");
    if (settings.budget && *settings.budget <= 0)
        throw table->wrong("budget",
                           fmt::format("{} where a number above 0 is expected", *settings.budget));
    const std::vector<double>& points = settings.thresholds;
    if (points.size() > most_thresholds)
        throw table->wrong("thresholds", fmt::format("{} thresholds are too many", points.size()),
                           fmt::format("give at most {}", most_thresholds));
    const bool rising =
        std::adjacent_find(points.begin(), points.end(), std::greater_equal<>{}) == points.end();
    if (points.front() <= 0 || !rising)
        throw table->wrong("thresholds", "the numbers are not above 0 and rising",
                           "write, for instance, thresholds = [0.1, 0.5, 1, 2, 5]");
}

} // namespace fuelring
