// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/remote_file.hpp"
#include "run/inputs/input_files.hpp"

#include <nlohmann/json_fwd.hpp>

#include <string>
#include <vector>

namespace fuelring {

/// An input that is no plain local file (run.remote_inputs), as it was before the run read it.
struct RemoteInput {
    std::string role; ///< key of the configuration, such as inputs.fuel.path
    std::string path;
    RemoteState state;
};

/// Those of the paths that are no local files. Asks their servers; whoever calls this has seen
/// run.remote_inputs.
std::vector<RemoteInput> remote_inputs(const InputPaths& paths);

/// Throws: Error{input} where a server's file is another than before the run read it, as far as
/// size, ETag and date tell.
void require_remote_unchanged(const std::vector<RemoteInput>& inputs);

/// role -> what run.json says of it: `path`, `remote`, and of a file `size`, `etag`, `modified` as
/// far as known; `validator`: what would change with the file, null where nothing is known to;
/// `changed_while_read`: what is known of that, in words.
nlohmann::json remote_inputs_json(const std::vector<RemoteInput>& inputs);

} // namespace fuelring
