// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"

#include <nlohmann/json_fwd.hpp>

#include <filesystem>

namespace fuelring {

struct VerifyOptions {
    std::filesystem::path run; ///< a folder that any command published
    int jobs = 0;              ///< files that are read side by side; 0: one per core
};

/// Holds a folder against the checksums in its run.json and writes nothing. An error in the log for
/// every published file that is missing or changed, a warning for one that no run published.
/// The summary has the names (`missing`, `changed`, `added`, `yours_changed`); `whole` where
/// nothing is missing or changed.
/// Throws: Error{input} where there is no run.json of ours, or another run is published meanwhile.
nlohmann::json run_verify(const VerifyOptions& options, Log& log);

} // namespace fuelring
