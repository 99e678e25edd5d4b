// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "change/reference_sample.hpp"

#include <fuelring/statistics/accuracy.hpp>

#include <array>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// Shares of a spot or a cell by class of change (removed, regrown, unchanged, no_conifer); they
/// add up to 1.
using ChangeShares = std::array<double, drawn_classes>;

/// A reference point that somebody judged.
struct JudgedPoint {
    std::size_t map_class = 0; ///< of its cell in change.tif: the stratum it was drawn in
    ChangeShares mapped{};     ///< of its cell, as both maps have it
    ChangeShares found{};      ///< of the spot (one class), or of the cell
};

/// Points drawn at random within each class, and the ground that they were drawn from.
struct ReferenceSample {
    std::vector<JudgedPoint> points;
    std::array<double, drawn_classes> drawn_m2{};
    std::string source = "the reference points"; ///< their file, for messages

    /// Points in each class.
    std::array<std::int64_t, drawn_classes> counts() const;
    /// Throws: Error{input} where a class covers ground and has no points.
    void require_covered() const;
};

/// Ground of one class of change within a part of the drawn ground, as mapped and corrected by the
/// points inside the part: mapped_m2 plus the sum over classes of drawn_m2 times the mean of
/// (found - mapped), where points outside the part count 0.
/// Law: unbiased, whatever the part, also where cells are mixed: the mean of `mapped` over spots is
/// the mapped area. Points that say what the map says leave mapped_m2 and give a standard error of
/// 0. On a map of whole shares, over all drawn ground, it is the stratified estimate of assess()
/// (equations 9 and 10 of Olofsson et al. 2014).
/// The result may fall below 0 where few points tell. `se`: empty where a class that covers ground
/// has one point.
/// Source: the difference estimator of a stratified sample for a domain (Cochran, Sampling
/// Techniques, 1977, chapters 5 and 7; chapters from memory).
/// Requires: require_covered() throws nothing; `inside` by point.
Estimate corrected_area(const ReferenceSample& sample, const std::vector<bool>& inside,
                        std::size_t change_class, double mapped_m2);

/// How the map fares at the points: as Accuracy, of classes of whole cells of change.tif. Points
/// judged by the cell count in parts. A perfect map of mixed cells has accuracies below 1, since
/// its cells are not of one class.
struct ReferenceAccuracy {
    struct OfClass {
        double ground_m2 = 0;
        std::int64_t points = 0;
        ChangeShares found{}; ///< the row of the matrix: points by what was found there
        std::optional<Estimate> users;
        std::optional<Estimate> producers;
    };
    std::array<OfClass, drawn_classes> classes;
    Estimate overall;
    std::int64_t points = 0;
};
/// Law: of points judged by one class each it is assess() of their matrix and drawn_m2.
/// Throws: as require_covered.
ReferenceAccuracy accuracy_of(const ReferenceSample& sample);
/// The same of a matrix of counts in the order of the classes of change.
ReferenceAccuracy accuracy_of(const ConfusionMatrix& matrix,
                              const std::array<double, drawn_classes>& drawn_m2);

} // namespace fuelring
