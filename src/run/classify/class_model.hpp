// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "imagery/conifer_area.hpp"
#include "imagery/judgement.hpp"
#include "imagery/shadow_rule.hpp"
#include "imagery/winter_rule.hpp"
#include "run/classify/cell_features.hpp"

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// Shares below it are written as 0: a model is never quite sure, and a home would else have
/// conifers at its wall wherever grass grows. A planning default.
inline constexpr float least_written_share = 0.05F;

/// Code of cells lower than a tree where only trees were trained, or where a rule tells; codes of
/// groups are their numbers.
inline constexpr std::uint16_t low_code = 20;

/// In the place of a fold, of an area that is in none since it is control.
inline constexpr std::size_t no_fold = static_cast<std::size_t>(-1);

/// What visits taught, and what those that were kept apart say of it. Shares are as the trees tell
/// them, before calibration, so that both models are asked the same.
struct VisitTest {
    std::int64_t learned = 0;           ///< visited areas with known cells that are training
    std::int64_t controls = 0;          ///< that are control
    ConiferTest with;                   ///< by cells of controls: of the model
    std::optional<ConiferTest> without; ///< of one that learned from the training areas alone
};

/// What was learned from a training set, and how good it is; or the rule that stands in its place.
/// It holds all that is written of the training, so that a kept model serves as a new one.
struct ClassModel {
    std::optional<WinterRule> rule; ///< nothing was learned: all below but `groups` is empty
    std::vector<FuelGroup> groups;  ///< by class of `trees`
    TreeModel trees;
    ShareCalibration calibration;
    Judgement by_block; ///< of whole blocks held out
    Judgement by_cell;  ///< of single cells held out: what it would claim otherwise
    std::vector<std::size_t> fold_of_area;
    std::size_t folds = 0;
    std::vector<double> held_out_share; ///< by area, mean; NaN where it has no cell
    /// Half the width of a 95 per cent interval of the mean share, by how folds differ.
    double share_half_width = 0;
    std::vector<FoldErrors> fold_errors;         ///< of calibrated shares, by fold
    ShadowRule shadow;                           ///< of the images, whoever tells
    std::vector<std::pair<float, float>> ranges; ///< by feature: least and largest of training
    bool only_trees = false;                     ///< no other group was trained
    std::vector<TrainingArea> areas;             ///< as they were used
    std::int64_t cells = 0;                      ///< of training
    std::optional<VisitTest> visits;             ///< where there are any
};

/// Learns, holds out, calibrates; areas are taken from both sets, those of controls last. `control`
/// is not learned from. Throws: Error{input} where one group
/// only has known cells, or all lie in one block.
ClassModel learn_model(TrainingSet& set, TrainingSet& control, double cell_m, int jobs,
                       const std::string& training_path, const std::function<void()>& stop);

/// Tells by the rule. Throws: Error{usage} where images do not show what it asks for.
ClassModel rule_model(const WinterRule& rule, const FeaturePlan& plan, const std::string& config);

/// How cells were told, in a sentence that stands in every file.
std::string method_of(const ClassModel& model);

} // namespace fuelring
