// SPDX-License-Identifier: Apache-2.0

// Cells of one crown, and crowns of one stand, resemble each other. So whole blocks are held out:
// what is left says how well the model does on ground that nobody has been to. The calibration of a
// cell is fitted without its own fold, too.
#include "imagery/cross_validation.hpp"

#include "base/parallel_for.hpp"

#include <algorithm>
#include <cstdint>
#include <optional>

namespace fuelring {

namespace {

std::size_t fold_count(std::span<const std::size_t> folds)
{
    return folds.empty() ? 0 : *std::ranges::max_element(folds) + 1;
}

/// By class: what makes the classes weigh without a fold as they do with it. A fold of conifers
/// that is left out would else leave fewer conifers, and the model would lean away from the very
/// class that it is asked for.
std::vector<double> restoring_factors(const TrainingSet& set,
                                      std::span<const std::size_t> fold_of_cell, std::size_t fold)
{
    std::vector<double> all(set.groups.size()), kept(set.groups.size());
    for (std::size_t i = 0; i < set.cells.size(); ++i) {
        all[set.cells.classes[i]] += set.cells.weights[i];
        if (fold_of_cell[i] != fold)
            kept[set.cells.classes[i]] += set.cells.weights[i];
    }
    for (std::size_t k = 0; k < all.size(); ++k)
        all[k] = kept[k] > 0 ? all[k] / kept[k] : 0;
    return all;
}

/// The set without a fold, its classes numbered without gaps.
struct Kept {
    ClassedCells cells;
    std::vector<std::size_t> classes; ///< of the set, by class of `cells`
};

Kept without(const TrainingSet& set, std::span<const std::size_t> fold_of_cell, std::size_t fold)
{
    std::vector<bool> there(set.groups.size());
    for (std::size_t i = 0; i < set.cells.size(); ++i)
        if (fold_of_cell[i] != fold)
            there[set.cells.classes[i]] = true;
    Kept kept;
    kept.cells.features = set.cells.features;
    std::vector<std::uint8_t> number(set.groups.size());
    for (std::size_t k = 0; k < there.size(); ++k)
        if (there[k]) {
            number[k] = static_cast<std::uint8_t>(kept.classes.size());
            kept.classes.push_back(k);
        }
    const std::vector<double> factors = restoring_factors(set, fold_of_cell, fold);
    for (std::size_t i = 0; i < set.cells.size(); ++i)
        if (fold_of_cell[i] != fold) {
            const std::uint8_t k = set.cells.classes[i];
            kept.cells.add(set.cells.at(i), number[k],
                           static_cast<float>(set.cells.weights[i] * factors[k]));
        }
    return kept;
}

void tell(const TrainingSet& set, std::span<const std::size_t> fold_of_cell, std::size_t fold,
          HeldOut& into)
{
    const Kept kept = without(set, fold_of_cell, fold);
    const std::size_t all = set.groups.size();
    const auto put = [&](std::size_t cell, const std::vector<float>& likelihoods) {
        for (std::size_t k = 0; k < kept.classes.size(); ++k)
            into.likelihoods[cell * all + kept.classes[k]] = likelihoods[k];
    };
    const bool one = kept.classes.size() < 2;
    const TreeModel model = one ? TreeModel{} : TreeModel::learned(kept.cells, kept.classes.size());
    for (std::size_t i = 0; i < set.cells.size(); ++i)
        if (fold_of_cell[i] == fold)
            put(i, one ? std::vector<float>(kept.classes.size(), 1.0F)
                       : model.likelihoods(set.cells.at(i)));
}

std::vector<float> raw_shares(const TrainingSet& set, const std::vector<float>& likelihoods)
{
    std::vector<float> shares(set.cells.size());
    for (std::size_t i = 0; i < shares.size(); ++i)
        for (std::size_t k = 0; k < set.groups.size(); ++k)
            shares[i] += likelihoods[i * set.groups.size() + k] * set.share_of_class(k);
    return shares;
}

/// How many cells there are of each class, without a fold where one is named.
std::vector<double> counts_of(const TrainingSet& set, std::span<const std::size_t> fold_of_cell,
                              std::optional<std::size_t> fold)
{
    std::vector<double> counts(set.groups.size());
    for (std::size_t i = 0; i < set.cells.size(); ++i)
        if (fold_of_cell[i] != fold)
            counts[set.cells.classes[i]] += 1;
    return counts;
}

ShareCalibration calibration_without(const TrainingSet& set, const HeldOut& held,
                                     const std::vector<float>& truth,
                                     std::span<const std::size_t> fold_of_cell, std::size_t fold)
{
    const std::vector<double> all = counts_of(set, fold_of_cell, std::nullopt);
    const std::vector<double> kept = counts_of(set, fold_of_cell, fold);
    std::vector<float> shares, truths;
    std::vector<double> weights; // which restore the classes, as above
    for (std::size_t i = 0; i < truth.size(); ++i)
        if (fold_of_cell[i] != fold) {
            shares.push_back(held.raw_shares[i]);
            truths.push_back(truth[i]);
            const std::uint8_t k = set.cells.classes[i];
            weights.push_back(all[k] / kept[k]);
        }
    return ShareCalibration{shares, truths, weights};
}

} // namespace

HeldOut hold_out(const TrainingSet& set, std::span<const std::size_t> fold_of_cell, int jobs,
                 const std::function<void()>& stop)
{
    HeldOut held;
    held.likelihoods.assign(set.cells.size() * set.groups.size(), 0);
    const std::size_t folds = fold_count(fold_of_cell);
    share_out(folds, jobs, [&](const auto& next) {
        for (std::size_t fold = next(); fold < folds; fold = next()) {
            stop();
            tell(set, fold_of_cell, fold, held);
        }
    });
    held.raw_shares = raw_shares(set, held.likelihoods);
    const std::vector<float> truth = set.true_shares();
    held.calibration = ShareCalibration{held.raw_shares, truth};
    held.shares.resize(truth.size());
    for (std::size_t fold = 0; fold < folds; ++fold) {
        const ShareCalibration calibrated =
            calibration_without(set, held, truth, fold_of_cell, fold);
        for (std::size_t i = 0; i < truth.size(); ++i)
            if (fold_of_cell[i] == fold)
                held.shares[i] = calibrated(held.raw_shares[i]);
    }
    return held;
}

std::vector<std::size_t> folds_by_cell(std::size_t cells)
{
    constexpr std::uint32_t golden = 2654435769U; // 2^32 / golden ratio: neighbours part
    std::vector<std::size_t> folds(cells);
    for (std::size_t i = 0; i < cells; ++i)
        folds[i] = (static_cast<std::uint32_t>(i) * golden >> 16) % 10;
    return folds;
}

} // namespace fuelring
