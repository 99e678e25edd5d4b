// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/map.hpp"
#include "run/publish/publish.hpp"

#include <nlohmann/json.hpp>

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// The output folder, held, with a run in it that is the one the configuration asks for; `map` has
/// run first where there was none, or it was out of date. What is made beside the run's files goes
/// into publication->staging().
struct HeldRun {
    /// `digests`: of the inputs as they are now. `progress`: of the command; where `map` runs, it
    /// expects the work of that. Throws: Error of every kind.
    HeldRun(const Config& config, const MapOptions& options, const nlohmann::json& digests,
            Progress& progress, Log& log);

    std::filesystem::path out;
    std::optional<Publication> publication;
    nlohmann::json manifest;

    /// The run's files stay, but for `own`, which a command makes anew, and pages made before,
    /// which do not show what is new and go out of the manifest, too.
    void keep_all_but(std::vector<std::string> own, Log& log);

private:
    void take(Log& log);
};

} // namespace fuelring
