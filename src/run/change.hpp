// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/sources.hpp"
#include "io/treatment_records_in.hpp"
#include "run/log.hpp"
#include "run/sample_points.hpp"

#include <nlohmann/json_fwd.hpp>

#include <filesystem>

namespace fuelring {

/// What the command line says.
struct ChangeOptions {
    std::filesystem::path before; ///< folders of two runs of fuelring map
    std::filesystem::path after;
    std::filesystem::path out;
    std::filesystem::path matrix; ///< confusion matrix of the classes of change; empty: none
    RecordSource records;         ///< treated polygons; none where its path is empty
    SampleWish sample;            ///< reference points to plan for; none where its se is 0
    int jobs = 0;                 ///< 0: one a core
    /// Stated inaccuracy of operations between systems; more is refused.
    double reprojected_within_m = default_reprojected_within_m;
};

/// Accounts for the change of fuel between two runs and publishes change.csv,
/// change_by_address.csv, change.tif, change.gpkg, with records treatment_records.csv, with a
/// sample wished sample_points.csv, and run.json as one set. Returns run.json's summary. Throws:
/// Error of every kind; earlier outputs are then untouched.
nlohmann::json run_change(const ChangeOptions& options, Log& log);

} // namespace fuelring
