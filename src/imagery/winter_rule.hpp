// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "imagery/training_set.hpp"

#include <fuelring/fuel_classes.hpp>

#include <optional>

namespace fuelring {

/// What is as tall as a tree and green in winter is taken for a conifer: a first raster of land
/// where nobody has named a tree yet. How good it is, nobody has measured.
struct WinterRule {
    /// From this (near infrared - red) / (near infrared + red) on, a cell is green. A planning
    /// default between bare ground (0.1 and less) and dense green (0.6 and more; from memory: U.S.
    /// Geological Survey, of reflectances): what cameras deliver is lower than reflectances are.
    double green = 0.25;
    double tall_m = static_cast<double>(least_tree_m); ///< from this height on, it is tall
};

/// The group that the rule tells: conifer where tall and green without leaves; else, where tall,
/// broadleaved if it is green with leaves or no image shows that, and built if it is not; grass
/// where low, which stands for whatever grows or lies there.
/// `summer`: empty where no image has leaves.
FuelGroup group_by_rule(const WinterRule& rule, float height_m, float winter,
                        std::optional<float> summer);

} // namespace fuelring
