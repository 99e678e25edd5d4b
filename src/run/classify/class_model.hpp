// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "imagery/judgement.hpp"
#include "run/classify/cell_features.hpp"

#include <cstddef>
#include <functional>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// Shares below it are written as 0: a model is never quite sure, and a home would else have
/// conifers at its wall wherever grass grows. A planning default.
inline constexpr float least_written_share = 0.05F;

/// Code of cells lower than a tree where only trees were trained; codes of groups are their
/// numbers.
inline constexpr std::uint16_t low_code = 20;

/// What was learned from a training set, and how good it is.
struct ClassModel {
    std::vector<FuelGroup> groups; ///< by class of `trees`
    TreeModel trees;
    ShareCalibration calibration;
    Judgement by_block; ///< of whole blocks held out
    Judgement by_cell;  ///< of single cells held out: what it would claim otherwise
    std::vector<std::size_t> fold_of_area;
    std::size_t folds = 0;
    std::vector<double> held_out_share; ///< by area, mean; NaN where it has no cell
    /// Half the width of a 95 per cent interval of the mean share, by how folds differ.
    double share_half_width = 0;
    std::vector<std::pair<float, float>> ranges; ///< by feature: least and largest of training
    bool only_trees = false;                     ///< no other group was trained
};

/// Learns, holds out, calibrates. Throws: Error{input} where one group only has known cells, or all
/// lie in one block.
ClassModel learn_model(const TrainingSet& set, double cell_m, int jobs,
                       const std::string& training_path, const std::function<void()>& stop);

} // namespace fuelring
