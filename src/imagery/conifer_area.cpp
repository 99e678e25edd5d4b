// SPDX-License-Identifier: Apache-2.0
#include "imagery/conifer_area.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>

namespace fuelring {

namespace {

constexpr std::size_t redraws = 2000;
constexpr double normal_975 = 1.959964;

double corrected_cells(const LandTold& land, const FoldErrors& errors)
{
    double sum = 0, most = 0;
    for (std::size_t k = 0; k < share_tenths; ++k) {
        const auto cells = static_cast<double>(land.cells[k]);
        sum += land.share_sum[k];
        most += cells;
        if (errors.cells[k] > 0)
            sum += cells * errors.missing[k] / static_cast<double>(errors.cells[k]);
    }
    return std::clamp(sum, 0.0, most);
}

void join(FoldErrors& into, const FoldErrors& more)
{
    for (std::size_t k = 0; k < share_tenths; ++k) {
        into.cells[k] += more.cells[k];
        into.missing[k] += more.missing[k];
    }
}

/// The share of redraws that is left out at either end: that of the normal distribution beyond
/// sqrt(n / (n - 1)) times the quantile of Student's t with n - 1 degrees of freedom.
/// Source of the quantile: Abramowitz and Stegun 1964, 26.7.5 (from memory).
double share_beyond(std::size_t folds)
{
    const auto n = static_cast<double>(folds);
    const double z = normal_975, z3 = z * z * z, f = n - 1;
    const double t = z + (z3 + z) / (4 * f) + (5 * z3 * z * z + 16 * z3 + 3 * z) / (96 * f * f);
    return std::erfc(t * std::sqrt(n / (n - 1)) / std::sqrt(2.0)) / 2;
}

ConiferCells::Interval redrawn(const LandTold& land, std::span<const FoldErrors> folds)
{
    std::mt19937_64 random{20260715};
    std::vector<double> sums(redraws);
    for (double& sum : sums) {
        FoldErrors drawn;
        for (std::size_t k = 0; k < folds.size(); ++k)
            join(drawn, folds[random() % folds.size()]);
        sum = corrected_cells(land, drawn);
    }
    std::ranges::sort(sums);
    const auto out = static_cast<std::size_t>(share_beyond(folds.size()) * redraws);
    return {sums[out], sums[redraws - 1 - out]};
}

} // namespace

std::size_t tenth_of(float share)
{
    return static_cast<std::size_t>(std::clamp(share * 10, 0.0F, 9.0F));
}

void LandTold::add(const LandTold& more)
{
    for (std::size_t k = 0; k < share_tenths; ++k) {
        cells[k] += more.cells[k];
        share_sum[k] += more.share_sum[k];
    }
}

std::vector<FoldErrors> errors_by_fold(std::span<const float> told, std::span<const float> truth,
                                       std::span<const std::size_t> fold_of_cell)
{
    std::vector<FoldErrors> folds;
    for (std::size_t i = 0; i < told.size(); ++i) {
        if (fold_of_cell[i] >= folds.size())
            folds.resize(fold_of_cell[i] + 1);
        const std::size_t k = tenth_of(told[i]);
        ++folds[fold_of_cell[i]].cells[k];
        folds[fold_of_cell[i]].missing[k] +=
            static_cast<double>(truth[i]) - static_cast<double>(told[i]);
    }
    return folds;
}

ConiferCells conifer_cells(const LandTold& land, std::span<const FoldErrors> folds)
{
    FoldErrors all;
    for (const FoldErrors& fold : folds)
        join(all, fold);
    ConiferCells result;
    result.told = std::accumulate(land.share_sum.begin(), land.share_sum.end(), 0.0);
    result.estimate = corrected_cells(land, all);
    if (folds.size() >= least_folds_of_interval)
        result.interval_95 = redrawn(land, folds);
    return result;
}

} // namespace fuelring
