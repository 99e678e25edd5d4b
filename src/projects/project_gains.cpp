// SPDX-License-Identifier: Apache-2.0
#include "projects/project_gains.hpp"

#include <algorithm>

namespace fuelring {

std::vector<double> points_removed(const std::vector<PartTaken>& taken,
                                   const GainsByStructure& gains, std::size_t parts)
{
    std::vector<double> share(parts);
    for (const PartTaken& part : taken)
        share[part.part] = part.taken;
    std::vector<double> points(gains.size());
    for (std::size_t i = 0; i < gains.size(); ++i)
        for (const PartGain& gain : gains[i])
            points[i] += share[gain.part] * gain.points;
    return points;
}

std::vector<double> homes_falling(std::span<const double> points_removed,
                                  std::span<const double> weight,
                                  std::span<const double> thresholds)
{
    constexpr double rounding = 1e-9; // of exposures, which are sums of integrals
    std::vector<double> sums;
    for (const double threshold : thresholds) {
        double sum = 0;
        for (std::size_t i = 0; i < points_removed.size(); ++i)
            if (points_removed[i] > 0 && points_removed[i] >= threshold - rounding)
                sum += weight[i];
        sums.push_back(sum);
    }
    return sums;
}

} // namespace fuelring
