// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/classify/words/class_note.hpp"

#include <cstdint>
#include <map>

namespace fuelring {

/// Areas that were learned from and that the images show.
std::map<FuelGroup, std::int64_t> areas_by_group(const ClassModel& model);

/// Warnings of run.json, each with key, count and text: where training is thin or far away, and
/// where the imagery is not what was trained on.
nlohmann::json warnings_of(const ClassificationParts& parts);

} // namespace fuelring
