// SPDX-License-Identifier: Apache-2.0
#include "imagery/winter_rule.hpp"

namespace fuelring {

FuelGroup group_by_rule(const WinterRule& rule, float height_m, float winter,
                        std::optional<float> summer)
{
    const auto is_green = [&](float v) { return static_cast<double>(v) >= rule.green; };
    if (static_cast<double>(height_m) < rule.tall_m)
        return FuelGroup::grass;
    if (is_green(winter))
        return FuelGroup::conifer;
    return !summer || is_green(*summer) ? FuelGroup::broadleaved : FuelGroup::built;
}

} // namespace fuelring
