// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "projects/project_groups.hpp"

#include <cstdint>
#include <vector>

namespace fuelring {

/// A project that may be chosen.
struct ProjectOption {
    std::int64_t cost = 0; ///< in the smallest unit of the budget, such as cents; not negative
    std::vector<PartTaken> taken;
};

/// Which projects to do.
struct ProjectChoice {
    std::vector<std::uint32_t> chosen; ///< numbers of options, rising
    std::int64_t cost = 0;             ///< sum of their costs; never above the budget
    double points = 0;                 ///< that they remove together; shared ground counts once
    double most_points = 0;            ///< no choice within the budget removes more
    bool proved_best = false;          ///< most_points is points, to rounding
};

/// The choice that removes most within a budget. `part_points[p]`: what clearing part p removes,
/// summed over structures. Looks at no more than so many sets of projects and then keeps the best
/// that it found, with a bound: up to 25 options are always searched to the end. The result depends
/// on the arguments alone.
/// Source: branch and bound (Land and Doig, Econometrica 28, 1960). What a set removes is monotone
/// and submodular, so a set T beside S removes at most the sum of what each of T would add to S
/// (Nemhauser, Wolsey and Fisher, Mathematical Programming 14, 1978), and of a sum within a budget
/// the fractional knapsack is the bound (Dantzig, Operations Research 5, 1957).
ProjectChoice best_choice(const std::vector<ProjectOption>& options,
                          const std::vector<double>& part_points, std::int64_t budget);

} // namespace fuelring
