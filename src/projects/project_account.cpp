// SPDX-License-Identifier: Apache-2.0
#include "projects/project_account.hpp"

#include <algorithm>
#include <numeric>

namespace fuelring {

namespace {

/// Adds `values` to `all`, and `share` of them to `taken`.
void add(const std::vector<double>& values, double share, std::vector<double>& all,
         std::vector<double>& taken)
{
    for (std::size_t k = 0; k < values.size(); ++k) {
        all[k] += values[k];
        taken[k] += share * values[k];
    }
}

} // namespace

GroupSums group_sums(const std::vector<PartTaken>& taken, const std::vector<PartGround>& parts)
{
    GroupSums sums;
    if (parts.empty())
        return sums;
    const PartGround& any = parts.front();
    sums.rings.resize(any.rings.size());
    sums.treated_m2.resize(any.rings.size());
    sums.owner_m2.resize(any.owner_m2.size());
    sums.owner_treated_m2.resize(any.owner_m2.size());
    sums.neighbourhood_m2.resize(any.neighbourhood_m2.size());
    sums.neighbourhood_treated_m2.resize(any.neighbourhood_m2.size());
    for (const PartTaken& of : taken) {
        const PartGround& part = parts[of.part];
        for (std::size_t k = 0; k < part.rings.size(); ++k) {
            sums.rings[k].ground_m2 += part.rings[k].ground_m2;
            sums.rings[k].unmapped_m2 += part.rings[k].unmapped_m2;
            sums.rings[k].conifer_m2 += part.rings[k].conifer_m2;
            sums.treated_m2[k] += of.taken * part.rings[k].conifer_m2;
        }
        add(part.owner_m2, of.taken, sums.owner_m2, sums.owner_treated_m2);
        add(part.neighbourhood_m2, of.taken, sums.neighbourhood_m2, sums.neighbourhood_treated_m2);
        sums.clearable_m2 += of.taken * part.clearable_m2;
    }
    return sums;
}

RingGround ProjectRow::reach() const
{
    RingGround all;
    for (const RingGround& ring : ground.rings) {
        all.ground_m2 += ring.ground_m2;
        all.unmapped_m2 += ring.unmapped_m2;
        all.conifer_m2 += ring.conifer_m2;
    }
    return all;
}

double ProjectRow::treated_conifer_m2() const
{
    return std::accumulate(ground.treated_m2.begin(), ground.treated_m2.end(), 0.0);
}

std::optional<double> ProjectRow::share_of_best() const
{
    constexpr double least_points = 1e-9; // less is rounding: nothing is divided by it
    if (!best || *best < least_points)
        return std::nullopt;
    // The bound is a sum of integers of a fine unit; what it misses by that is no merit.
    return std::min(exposure_removed / *best, 1.0);
}

double ProjectAccount::sum_before() const
{
    return std::accumulate(before.begin(), before.end(), 0.0,
                           [](double sum, const auto& e) { return sum + e.value_or(0); });
}

} // namespace fuelring
