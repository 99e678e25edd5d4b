// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/community/confusion_csv.hpp"
#include "run/config/sensitivity_config.hpp"
#include "sensitivity/class_confusion.hpp"

#include <fuelring/error.hpp>

#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

namespace fuelring {

/// The files that [sensitivity] names, read.
struct ClassTrials {
    std::vector<std::vector<std::int32_t>> shares; ///< by trial: conifer shares by class index
    std::optional<ClassConfusion> confusion;
};

/// Throws: Error{usage} for files that do not fit the run's class table, and where there is none.
inline ClassTrials read_class_trials(const SensitivityPlan& plan, bool holds_shares,
                                     const FuelClassTable& table)
{
    ClassTrials trials;
    bool asked = !plan.confusion.empty();
    for (const SensitivityTrial& trial : plan.trials)
        asked = asked || !trial.classes.empty();
    if (asked && holds_shares)
        throw Error{Failure::usage, "the raster holds shares, not classes", "sensitivity",
                    "leave classes and confusion out"};
    for (const SensitivityTrial& trial : plan.trials)
        trials.shares.push_back(
            trial.classes.empty()
                ? shares_of(table)
                : shares_in(FuelClassTable::read(trial.classes), table, trial.classes));
    if (!plan.confusion.empty())
        trials.confusion =
            confusion_of(read_confusion_matrix(plan.confusion, "check sensitivity.confusion"),
                         table, plan.confusion);
    return trials;
}

} // namespace fuelring
