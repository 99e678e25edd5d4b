// SPDX-License-Identifier: Apache-2.0
#include "run/config/config_uncertainty.hpp"

#include <fmt/format.h>

namespace fuelring {

namespace {

constexpr double largest_shift_m = 100; ///< beyond it layers do not belong together
constexpr std::int64_t least_draws = 2;
constexpr std::int64_t most_draws = 1000;
constexpr std::int64_t most_first = 1'000'000'000;

} // namespace

void read_uncertainty(const ConfigTable& root, Config& config)
{
    const auto t = root.table("uncertainty");
    if (!t)
        return;
    UncertaintyPlan plan;
    plan.shift_m = t->number("shift_m").value_or(plan.shift_m);
    if (plan.shift_m <= 0 || plan.shift_m >= largest_shift_m)
        throw t->wrong("shift_m", fmt::format("a shift of {} m is out of range", plan.shift_m),
                       fmt::format("shifts are above 0 and below {} m: how far footprints and "
                                   "raster may be off against each other",
                                   largest_shift_m));
    plan.draws = static_cast<int>(t->whole("draws", least_draws, most_draws).value_or(plan.draws));
    plan.first = t->whole("first", 1, most_first);
    plan.first_neighbourhoods = t->whole("first_neighbourhoods", 1, most_first);
    config.uncertainty = plan;
}

} // namespace fuelring
