// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/classify/block_teller.hpp"

#include <nlohmann/json_fwd.hpp>

namespace fuelring {

/// What run.json says of a classification; what it names must live until then.
struct ClassificationParts {
    const Config& config;
    const std::vector<ImageRaster>& images;
    const ClassGrid& grid;
    const FeaturePlan& plan;
    const ClassModel& model;
    const ClassTotals& totals;
    double cell_ha;
};

/// Program, configuration, images, grid, training, accuracy, the note in sentences and warnings;
/// everything but inputs and timings.
nlohmann::json classification_json(const ClassificationParts& parts);

} // namespace fuelring
