// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/projects/project_layer_in.hpp"
#include "run/map.hpp"

namespace fuelring {

/// Appraises drawn projects on the run in the output folder; runs `map` first where there is none
/// or it is out of date. Publishes projects.csv, project_exposure.csv and projects.gpkg beside the
/// files of the run, as a new generation of the set. Returns what `--json` prints. Throws: Error of
/// every kind; earlier outputs are then untouched.
nlohmann::json run_appraise(const Config& config, const ProjectSource& projects,
                            const MapOptions& options, Log& log);

} // namespace fuelring
