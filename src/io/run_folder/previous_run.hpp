// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/run_folder/run_folder.hpp"
#include "run/publish/publish.hpp"

#include <string>

namespace fuelring {

/// The set that lies in the output folder while a run makes the one that replaces it. Where it
/// cannot be believed, `why_not` says so, and nothing is held up.
struct PreviousRun : PublishedFolder {
    std::string why_not{}; ///< empty where it can be believed

    bool is_there() const { return set.state != PublishedSet::State::none; }
    bool is_sound() const { return is_there() && why_not.empty(); }
    /// "2026-11-25T02:00:13Z", or words where it does not say.
    std::string finished() const;
};

/// Looks at the folder of a publication, whose lock is held.
PreviousRun previous_run_in(const std::filesystem::path& out, const Publication& publication);

} // namespace fuelring
