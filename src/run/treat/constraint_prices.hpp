// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/treat/treat_plan.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace fuelring {

/// The settings without one of their constraints.
struct RelaxedSettings {
    std::string constraint;
    std::string name;
    TreatmentSettings settings;
};

/// One for each constraint, in the order of the manual; none where settings have none that is
/// priced (TreatmentSettings::has_constraints).
std::vector<RelaxedSettings> relaxed(const TreatmentSettings& settings);

/// A limit for people: "floor of 20 points for Far Bank".
std::string name_of(const TreatmentLimit& limit);

/// Plans once more for each constraint, without it. `points`: what the plan with all of them
/// removes. Law: no price is below 0, since a plan that keeps a constraint may be made without it.
/// Throws: as Planner.
std::vector<ConstraintRow> constraint_prices(const StageContext& context, const Inputs& inputs,
                                             const std::filesystem::path& rasters, double points,
                                             Log& log);

} // namespace fuelring
