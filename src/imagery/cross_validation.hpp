// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "imagery/calibration.hpp"
#include "imagery/training_set.hpp"

#include <cstddef>
#include <functional>
#include <span>
#include <vector>

namespace fuelring {

/// What models say of cells that they have not learned from.
struct HeldOut {
    std::vector<float> likelihoods; ///< cell by cell, one for each class of the set
    std::vector<float> raw_shares;  ///< by cell: sum of likelihood times share of the class
    std::vector<float> shares;      ///< calibrated by the other folds' cells
    ShareCalibration calibration;   ///< by all of them, for cells outside the set
};

/// For each fold, a model learned from all others tells its cells.
/// Shape: `fold_of_cell` has one number for each cell; there are two folds at least.
/// Law: independent of `jobs`. Classes that the other folds lack have likelihood 0.
/// `stop` is called between folds and may throw.
HeldOut hold_out(const TrainingSet& set, std::span<const std::size_t> fold_of_cell, int jobs,
                 const std::function<void()>& stop);

/// Folds of single cells, as if neighbours told each other nothing: what makes a classifier look
/// better than it is. Ten, by turns of a hash.
std::vector<std::size_t> folds_by_cell(std::size_t cells);

} // namespace fuelring
