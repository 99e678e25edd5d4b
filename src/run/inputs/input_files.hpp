// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "run/config/config.hpp"
#include "run/inputs/input_stamps.hpp"
#include "run/inputs/sidecar.hpp"

#include <nlohmann/json_fwd.hpp>

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

class FaultList;

/// Key of the configuration and path of what a run of `map` reads.
using InputPaths = std::vector<std::pair<std::string, std::string>>;

/// All of them, tables of classes and multipliers too. What is missing here would be overlooked
/// by `nothing changed`.
InputPaths configured_inputs(const Config& config);

/// Adds a raster; tiles have roles of their own, which begin with that of the raster.
void add_raster(const std::string& role, const RasterFiles& files, InputPaths& paths);

/// Of a tile's role (that of its raster, a space, its path) the raster's; else empty.
std::string raster_of_role(const std::string& role);

/// A local input file as it was before the run read it.
struct InputFile {
    std::string role; ///< key of the configuration, such as inputs.fuel.path
    std::filesystem::path path;
    InputStamps stamps;   ///< to see a change during the run
    std::string digest{}; ///< digest_with_companions from before the run read it; may be empty
    std::optional<Sidecar> sidecar{}; ///< the checksum beside it; set by settle
};

/// The local files among the paths as they are now; connection strings have no digest.
std::vector<InputFile> local_files(const InputPaths& paths);

/// Waits for whoever may still write them, takes over `digests` (by role), and compares files with
/// the checksums beside them. Throws: Error{input} where one changes meanwhile. Faults: a checksum
/// that is not the file's.
void settle(std::vector<InputFile>& files, const std::map<std::string, std::string>& digests,
            FaultList& faults, Log& log);

/// role -> {path, size, sha256} of the local input files; of tiles one entry with `tiles`, their
/// folder as `path` and one sha256 for all; `sidecar`, the path of the checksum that
/// it agrees with, where there is one.
/// Throws: Error{input} when a file cannot be read, or is not what its sidecar says.
nlohmann::json digests_of(const std::vector<InputFile>& files);

/// Throws: Error{input} naming the file when one, or a part of it beside it, changed since
/// `local_files`. Where a file was not written (a hard link, another mode), its digest decides; it
/// counts as changed where there is none.
void require_unchanged(const std::vector<InputFile>& files);

} // namespace fuelring
