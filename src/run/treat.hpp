// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/map.hpp"

#include <nlohmann/json_fwd.hpp>

namespace fuelring {

/// Picks where to treat within a budget, from the run in the output folder; runs `map` first where
/// there is none or it is out of date. Publishes treatment_units.csv, benefit_curve.csv,
/// treatment_exposure.csv and treatment.gpkg beside the files of the run, as a new generation of
/// the set. Returns what `--json` prints. Throws: Error of every kind; earlier outputs are then
/// untouched.
nlohmann::json run_treat(const Config& config, const MapOptions& options, Log& log);

} // namespace fuelring
