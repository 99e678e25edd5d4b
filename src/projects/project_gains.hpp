// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "projects/project_groups.hpp"

#include <span>
#include <vector>

namespace fuelring {

/// What clearing all conifers of a part would take off the exposure of one structure.
struct PartGain {
    std::uint32_t part = 0;
    double points = 0; ///< above 0
};

/// Gains of clearing each part, by structure: [i] by part, rising. Empty where a structure has no
/// exposure, or no part within reach.
using GainsByStructure = std::vector<std::vector<PartGain>>;

/// What a group does to every structure, in points; 0 where it does nothing.
/// Law: linear in the shares taken; the same bits for the same arguments.
std::vector<double> points_removed(const std::vector<PartTaken>& taken,
                                   const GainsByStructure& gains, std::size_t parts);

/// Structures that fall by at least so many points, by threshold, each counted `weight` times: 1 or
/// 0, or how many live there. What misses a threshold by less
/// than 1e-9 points, which rounding may take, counts. Law: does not rise with the threshold.
std::vector<double> homes_falling(std::span<const double> points_removed,
                                  std::span<const double> weight,
                                  std::span<const double> thresholds);

} // namespace fuelring
