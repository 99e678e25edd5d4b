// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace fuelring {

inline constexpr std::size_t share_tenths = 10;
/// From 0 up, of a share from 0 to 1.
std::size_t tenth_of(float share);

/// Land by what was told of it, in tenths of the share of conifers.
struct LandTold {
    std::array<std::int64_t, share_tenths> cells{};
    std::array<double, share_tenths> share_sum{}; ///< in cells

    void add(float share)
    {
        const std::size_t k = tenth_of(share);
        ++cells[k];
        share_sum[k] += static_cast<double>(share);
    }
    void add(const LandTold& more);
};

/// Held-out cells of one fold, by the same tenths of what was told of them.
struct FoldErrors {
    std::array<std::int64_t, share_tenths> cells{};
    std::array<double, share_tenths> missing{}; ///< sum of the true shares less the told ones
};
/// Shape: spans of equal length; result[k] is of fold k.
std::vector<FoldErrors> errors_by_fold(std::span<const float> told, std::span<const float> truth,
                                       std::span<const std::size_t> fold_of_cell);

/// Fewer folds say too little of how much they differ. A planning default.
inline constexpr std::size_t least_folds_of_interval = 10;

/// How many cells of land conifers cover.
struct ConiferCells {
    double told = 0;     ///< sum of the shares
    double estimate = 0; ///< the same, corrected by what is missing where it can be seen
    struct Interval {
        double low = 0;
        double high = 0;
    };
    std::optional<Interval> interval_95; ///< empty below least_folds_of_interval
};

/// The sum of told shares, plus in each tenth the mean of (true - told) of held-out cells times the
/// cells of the land: held-out cells stand for those of which much the same was told, wherever
/// these lie. A tenth without held-out cells is taken as told. The interval redraws whole folds,
/// 2,000 times, seeded, and widens its ends for few folds.
/// Law: depends on the arguments alone; estimate and interval lie between 0 and all cells.
/// Source: the difference estimator in strata made afterwards (Saerndal, Swensson and Wretman,
/// Model Assisted Survey Sampling, 1992, chapters 6 and 7); resampled clusters (Davison and
/// Hinkley, Bootstrap Methods and their Application, 1997, section 3.8); ends of the interval by
/// the expanded percentile method (Hesterberg 2015, The American Statistician 69). All from memory.
ConiferCells conifer_cells(const LandTold& land, std::span<const FoldErrors> folds);

} // namespace fuelring
