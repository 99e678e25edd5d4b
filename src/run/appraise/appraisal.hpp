// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/projects/project_layer_in.hpp"
#include "projects/project_account.hpp"
#include "run/stages/stages.hpp"

#include <filesystem>
#include <optional>

namespace fuelring {

/// Appraises drawn projects. `rasters` is the folder of priority.tif and fuel_used.tif of the run
/// that `context` belongs to; `owners`: parcels, where there are any. The same bits for every
/// number of workers. Requires: rings are stretched as in that run; context.community has no
/// owners. Throws: Error{input, output}; what context.check_cancelled throws.
ProjectAccount appraise_projects(const StageContext& context,
                                 const std::optional<Ownership>& owners,
                                 const ProjectLayer& projects,
                                 const std::filesystem::path& rasters);

} // namespace fuelring
