// SPDX-License-Identifier: Apache-2.0
#include "plan/terms/line_choice.hpp"

namespace fuelring::plan {

void LineChoice::choose(const PlanGrid& grid, const UnitRules& rules, double least_m, double price)
{
    const std::size_t n = line_.size();
    std::vector<double> surplus(n + 1); // of slices before
    std::vector<double> length(n + 1);
    for (std::size_t k = 0; k < n; ++k) {
        const StripSlice& slice = line_[k];
        length[k + 1] = length[k] + slice.length_m;
        surplus[k + 1] = surplus[k];
        if (slice.zone != no_zone)
            surplus[k + 1] += points_unit * static_cast<double>(slice.points) -
                              price * grid.cost(slice.zone, slice.conifer);
    }
    std::size_t ready = 0; // places from which a stretch to here is long enough
    double best_start = 0;
    std::uint32_t start = none;
    for (std::size_t end = 1; end <= n; ++end) {
        best_[end] = best_[end - 1];
        const ZoneId zone = line_[end - 1].zone;
        if (end == 1 || zone != line_[end - 2].zone) {
            ready = end - 1;
            start = none;
        }
        if (zone == no_zone)
            continue;
        for (; ready < end && length[end] - length[ready] >= least_m - length_rounding_m; ++ready)
            if (const double worth = best_[ready] - surplus[ready];
                start == none || worth > best_start) {
                best_start = worth;
                start = static_cast<std::uint32_t>(ready);
            }
        if (start == none)
            continue;
        const double worth = best_start + surplus[end] - price * rules.fixed_cost;
        if (worth > best_[end]) {
            best_[end] = worth;
            from_[end] = start;
        }
    }
}

} // namespace fuelring::plan
