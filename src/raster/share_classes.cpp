// SPDX-License-Identifier: Apache-2.0
#include "raster/share_classes.hpp"

#include <fmt/format.h>

namespace fuelring {

FuelClassTable share_classes()
{
    std::vector<FuelClass> rows;
    rows.reserve(static_cast<std::size_t>(whole_share) + 1);
    for (std::int32_t share = 0; share <= whole_share; ++share)
        rows.push_back({share, fmt::format("{:g}% conifers", share / 100.0), FuelGroup::share,
                        share, "the raster's own share"});
    return FuelClassTable{rows};
}

std::string share_band_label(std::size_t band)
{
    if (band == 0)
        return "no conifers";
    if (band == 1)
        return "up to 10% conifers";
    return fmt::format("{} to {}% conifers", 10 * (band - 1), 10 * band);
}

} // namespace fuelring
