// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/run_names.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "run/publish/publish_set.hpp"

#include <fuelring/error.hpp>
#include <fuelring/measure.hpp>

#include <nlohmann/json.hpp>

#include <filesystem>
#include <string>

namespace fuelring {

// As run.json has it, in degrees.
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(GeoArea, west, south, east, north)

/// A folder that fuelring published into: what its run.json says, parsed once.
struct PublishedFolder {
    std::filesystem::path path;
    PublishedSet set;             ///< the files themselves are not looked at
    nlohmann::json manifest{};    ///< run.json; null where there is none, or `why_unreadable`
    std::string why_unreadable{}; ///< the reason, where run.json cannot be parsed
};

/// Throws nothing for a bad run.json: that is a state of the set.
PublishedFolder open_published(const std::filesystem::path& folder);

/// The folder of an earlier run of fuelring map. Whatever is computed from it reads this folder
/// alone: the inputs of the run may have changed since.
struct RunFolder {
    std::filesystem::path path;
    nlohmann::json manifest; ///< its run.json
    RingPlan rings;
    AnalysisGrid analysis; ///< the grid of its rasters

    std::string file(const char* name) const { return (path / name).string(); }
    std::string run_id() const { return manifest.at("run_id"); }
};

/// Throws: Error{input}: no folder that fuelring map wrote, files that are missing or not what its
/// run.json says, keys that an older version did not write.
RunFolder open_run_folder(const std::filesystem::path& folder);

/// The complaint about a run.json whose parts are not of the kind that fuelring map writes.
Error not_as_written(const nlohmann::json::exception& e, const std::filesystem::path& folder);

/// A folder with the rasters of a run whose run.json will be `manifest`.
/// Throws: Error{input}, nlohmann::json::exception.
RunFolder run_folder_of(const std::filesystem::path& folder, nlohmann::json manifest);

/// The complaint about a folder that changed while it was read.
Error another_run(const std::filesystem::path& folder);

/// Throws: Error{input} when another run was published there since it was opened.
void require_same_run(const RunFolder& run);

/// True for a folder that fuelring map wrote: nothing else may be published there.
bool is_run_folder(const std::filesystem::path& folder);

/// Where the figures of a run come from: folder, run, versions, date, checksums of its inputs and
/// of its own files.
nlohmann::json provenance_of(const RunFolder& run);

} // namespace fuelring
