// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/run_folder/run_folder.hpp"
#include "report/run_picture.hpp"

namespace fuelring {

/// What fuelring change put into `folder`, whose later run has to be `run` (by the checksum of its
/// fuelring.gpkg: its id changes when a command adds to the set).
/// Throws: Error{input}: no such folder, files that are missing or damaged, another run.
PictureChange read_change_of(const std::filesystem::path& folder, const RunFolder& run);

} // namespace fuelring
