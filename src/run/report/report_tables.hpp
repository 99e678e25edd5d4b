// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "report/run_picture.hpp"

#include <filesystem>
#include <functional>
#include <string>

namespace fuelring {

/// addresses.xlsx and neighbourhoods.xlsx of a run: its tables for spreadsheets. `add` gives the
/// place of a file that then belongs to the set. A table that a sheet cannot hold is left out, and
/// said.
void write_spreadsheets(const std::function<std::filesystem::path(const char*)>& add,
                        const RunPicture& picture, Log& log);

} // namespace fuelring
