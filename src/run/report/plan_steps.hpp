// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/run_folder/run_folder.hpp"
#include "report/run_picture.hpp"

namespace fuelring {

/// What the patches of a run's plan do for each home. Exposure is linear in its cells, so this is
/// the transpose of the measurement over the cells of the patches, home by home, with the outlines
/// made again as the run made them. What a treatment leaves of conifers is taken from the patches'
/// own figures. At most `most_groups` groups. Throws: Error{input} naming the file of the run.
/// Memory holds a cell of a patch once, and what is above a ten-thousandth of a point.
PlanSteps plan_steps(const RunFolder& run, const RunPicture& picture, int jobs,
                     std::size_t most_groups = 100);

} // namespace fuelring
