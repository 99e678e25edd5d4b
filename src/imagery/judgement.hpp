// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "imagery/cross_validation.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace fuelring {

/// How well shares tell conifers from the rest.
/// Requires of what makes one: a share above 0.5 says conifer.
struct ConiferTest {
    std::int64_t count = 0;                  ///< cells, or areas
    double accuracy = 0;                     ///< of all
    std::optional<double> balanced_accuracy; ///< mean of those of conifers and of the rest
    /// Chance that a conifer has a higher share than something else; ties count half.
    /// Source: Hanley and McNeil 1982, Radiology 143 (from memory).
    std::optional<double> area_under_curve;
    double mean_share = 0;
    double mean_truth = 0;
};
ConiferTest conifer_test(std::span<const float> shares, std::span<const float> truth);

/// Cells whose share lies in one tenth of 0 to 1.
struct ReliabilityBin {
    std::int64_t cells = 0;
    double mean_share = 0;
    double mean_truth = 0;
};

/// What held-out cells say of a classifier. Areas under curves are of shares before calibration:
/// one calibration for all changes no order, while those that leave out a fold each shift the folds
/// against each other.
struct Judgement {
    /// By true class, then by told class (the likeliest): cells.
    std::vector<std::vector<std::int64_t>> confusion;
    double accuracy = 0; ///< of classes
    ConiferTest cells;
    ConiferTest areas;      ///< by mean share of an area's cells
    ConiferTest raw;        ///< cells, before calibration
    double class_share = 0; ///< mean share of conifers of the likeliest classes, over the cells
    std::array<ReliabilityBin, 10> reliability{};

    /// Of what was told to be a class, the share that is; empty where nothing was.
    std::optional<double> users_accuracy(std::size_t k) const;
    /// Of what is a class, the share that was told; empty where nothing is.
    std::optional<double> producers_accuracy(std::size_t k) const;
};
Judgement judged(const TrainingSet& set, const HeldOut& held);

} // namespace fuelring
