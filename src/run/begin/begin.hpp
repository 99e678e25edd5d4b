// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"

#include <nlohmann/json_fwd.hpp>

#include <filesystem>
#include <optional>

namespace fuelring {

struct BeginOptions {
    std::filesystem::path folder;
    std::optional<std::filesystem::path> out; ///< the configuration; FOLDER/fuelring.toml if empty
};

/// Looks at a folder and writes a first configuration, which `check` accepts, with a remark on
/// every guess. What a trial refuses of optional inputs is written as a comment, with the reason.
/// Throws: Error{usage} where the configuration exists already; Error{input} where the folder
/// cannot be read, or lacks what a run needs: the configuration is then written, to be filled in.
/// Error{output}. Writes nothing else.
nlohmann::json run_begin(const BeginOptions& options, Log& log);

} // namespace fuelring
