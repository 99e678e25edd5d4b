// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/draws.hpp"

#include <fuelring/measure.hpp>

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace fuelring {

/// The ranks of some figures in trial after trial. Ranks are those of a run: standard competition
/// ranks of figures rounded to 4 decimals.
class RankTally {
public:
    /// `first`: ranks that count as first.
    RankTally(std::size_t figures, std::int64_t first);

    /// One trial: a figure each, NaN where there is none; it is then without a rank.
    void add(std::span<const double> figures);

    struct Range {
        std::optional<std::int64_t> best;  ///< the highest rank held; 1 is the top
        std::optional<std::int64_t> worst; ///< the lowest
        std::optional<double> in_first;    ///< share of the trials with a rank in which it is first
    };
    Range of(std::size_t i) const;
    /// Share of the trials in which i stands strictly above j, half a trial where they are equal,
    /// of those in which both have a rank; empty where there is none. Requires: the two were named
    /// to `compare` before the first trial.
    std::optional<double> above(std::size_t pair) const;
    void compare(std::size_t upper, std::size_t lower) { pairs_.push_back({upper, lower}); }

private:
    struct Pair {
        std::size_t upper = 0, lower = 0;
        double above = 0;
        std::int64_t trials = 0;
    };
    std::int64_t first_;
    std::vector<std::int64_t> best_, worst_, trials_, in_first_;
    std::vector<Pair> pairs_;
};

/// The same ground in fewer rings: those of `measure` joined at the distances of `coarse`.
/// Law: exact, as areas add. Requires: joins(fine, coarse).
StructureMeasure joined(const StructureMeasure& measure, const RingPlan& fine,
                        const RingPlan& coarse);
/// True where every distance of `coarse` is one of `fine`.
bool joins(const RingPlan& fine, const RingPlan& coarse);

/// Resampling of homes: which of `count` homes stand in draw `draw`, with replacement, by
/// number; a bootstrap sample of the homes of one neighbourhood.
/// Law: depends on the arguments alone. Source: Efron 1979, The Annals of Statistics 7:1-26 (from
/// memory).
std::vector<std::size_t> resampled(std::size_t count, std::uint64_t seed, std::uint64_t draw,
                                   std::uint64_t neighbourhood);

/// Neighbours in the ranking change places in more than this share of the trials: a toss-up. A
/// planning default.
inline constexpr double toss_up_share = 0.1;

/// Groups of rows, best rank first, between whose members the trials do not decide: each row is in
/// one group, and two that follow each other share one where the upper is above the lower in less
/// than 1 - toss_up_share of the trials. `above[k]`: of row k over row k + 1.
std::vector<std::vector<std::size_t>> toss_ups(std::span<const std::optional<double>> above);

/// What the trials say of one structure.
struct StructureSensitivity {
    RankTally::Range rank{};
    std::optional<double> lowest; ///< exposure, of all trials
    std::optional<double> highest;
    std::optional<double> expected; ///< under the confusion of classes, exact; where there is one
    std::optional<double> spread;   ///< standard deviation over its draws
};

/// The same of a neighbourhood that has a rank.
struct NeighbourhoodSensitivity {
    std::string name;
    std::int64_t rank = 0; ///< in the run
    RankTally::Range range{};
    std::optional<double> lowest; ///< mean exposure
    std::optional<double> highest;
    std::optional<double> above_next; ///< RankTally::above of it over the next
    std::size_t group = 0;            ///< number of its toss_ups
};

struct SensitivityFindings {
    std::vector<StructureSensitivity> structures;         ///< by structure
    std::vector<NeighbourhoodSensitivity> neighbourhoods; ///< by rank, those that have one
    std::int64_t trials = 0;                              ///< of structures; the run is one
    std::int64_t neighbourhood_trials = 0;                ///< with resampled homes
    std::int64_t first_structures = 0;                    ///< ranks that count as first
    std::int64_t first_neighbourhoods = 0;
};

} // namespace fuelring
