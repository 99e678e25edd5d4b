// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "run/compare/change_options.hpp"

#include <nlohmann/json_fwd.hpp>

namespace fuelring {

/// Accounts for the change of fuel between two runs and publishes change.csv,
/// change_by_address.csv, change.tif, change.gpkg, with records treatment_records.csv, with a
/// sample wished sample_points.csv, and run.json as one set. Returns run.json's summary. Throws:
/// Error of every kind; earlier outputs are then untouched.
nlohmann::json run_change(const ChangeOptions& options, Log& log);

} // namespace fuelring
