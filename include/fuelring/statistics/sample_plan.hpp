// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/export.hpp>

#include <cstdint>
#include <span>
#include <vector>

namespace fuelring {

/// A map class before its reference points are drawn.
struct Stratum {
    double share = 0; ///< of the mapped ground, 0 to 1; those of all classes sum to 1 at most
    /// Standard deviation of what a point contributes, 0 to 0.5 for a yes or no: sqrt(p (1 - p))
    /// where a share p of the points is expected to say yes.
    double deviation = 0;
};

/// Map classes by their areas (any one unit) and the expected share of yes among their points:
///  - for overall accuracy, expected[i] is the user's accuracy that class i is expected to have;
///  - for the area of class k, expected[i] is the share of class i that is expected to be k in
///    truth: for k itself its user's accuracy, for others what the map misses of k there. The
///    wanted standard error is then that of the area divided by the total mapped area.
/// Throws: Error{input} unless areas are finite, 0 or more, and not all 0, shares lie between 0
/// and 1, and there are as many of both.
FUELRING_EXPORT std::vector<Stratum> expected_strata(std::span<const double> mapped_area,
                                                     std::span<const double> expected);

/// Fewest points that give an estimate this standard error: n = (sum of W S / SE)^2, rounded up.
/// It holds for the optimal allocation; every other one needs more.
/// Throws: Error{input} for strata that are none (shares outside 0 to 1, none above 0, a sum above
/// 1, deviations below 0 or above 1e100), a wanted error that is not above 0, or that needs more
/// than 1e9 points. Source: Olofsson et al. 2014, doi:10.1016/j.rse.2014.02.015, equation 13,
/// without the term for
///         drawing a good part of a finite number of cells, which would lower n.
FUELRING_EXPORT std::int64_t fewest_points(std::span<const Stratum> strata, double wanted_se);

/// How points are shared out. With a minimum for each class, `proportional` is the middle way that
/// the paper recommends: rare classes get the minimum, the rest is in proportion to the area.
enum class Allocation {
    equal,        ///< the same for each class: good for user's accuracies
    proportional, ///< W: good for overall accuracy, poor for rare classes
    optimal,      ///< W S: the smallest standard error of the estimate at hand
};

/// A variance takes two points.
inline constexpr std::int64_t least_points = 2;
/// Planning default of this project for the middle way; 50 to 100 is common practice.
inline constexpr std::int64_t usual_minimum = 50;

/// Shares out `total` points. Classes that would get less than `minimum` get the minimum, the
/// others share the rest; what whole numbers leave over goes to the largest remainders, the first
/// class first. Classes without ground get none.
/// Law: the points sum to `total`; the result depends on the arguments alone.
/// Throws: Error{input} for strata that are none, where `total` is too small for the minimum or
/// above 1e9, or `minimum` is below 1.
FUELRING_EXPORT std::vector<std::int64_t> allocate(std::span<const Stratum> strata,
                                                   std::int64_t total, Allocation how,
                                                   std::int64_t minimum = least_points);

/// Standard error that these points are expected to give: sqrt(sum of W^2 S^2 / n).
/// Derived from equations 5 and 10 of the same paper, whose p (1 - p) / (n - 1) are unbiased
/// estimates of S^2 / n. Throws: Error{input} for strata that are none, and where a class that
/// counts gets no points or there are not as many numbers of points as classes.
FUELRING_EXPORT double expected_se(std::span<const Stratum> strata,
                                   std::span<const std::int64_t> points);

struct SamplePlan {
    std::vector<std::int64_t> points; ///< for each class
    std::int64_t total = 0;
    double expected_se = 0; ///< of the mean that was planned for; not above what was wanted
};

/// Points for a wanted standard error under an allocation.
/// Law: one point less, shared out in the same way, would not do, or would break the minimum.
/// Throws: as `fewest_points` and `allocate`.
FUELRING_EXPORT SamplePlan plan_sample(std::span<const Stratum> strata, double wanted_se,
                                       Allocation how, std::int64_t minimum = least_points);

} // namespace fuelring
