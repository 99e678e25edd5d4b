// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/publish/publish.hpp"
#include "run/publish/publish_set.hpp"

#include <nlohmann/json.hpp>

#include <filesystem>
#include <string>
#include <vector>

namespace fuelring {

/// The set that lies in the output folder while a run makes the one that replaces it. A set that
/// cannot be read is said and holds nothing up.
struct EarlierSet {
    std::filesystem::path folder;
    bool is_there = false;   ///< a run.json lies there
    std::string why_not{};   ///< nothing of it can be believed; empty where it can
    nlohmann::json manifest; ///< its run.json, where it can be believed
    std::int64_t generation = 0;
    NamedDigests files{}; ///< of the set, as its run.json lists them

    bool is_sound() const { return is_there && why_not.empty(); }
    /// "2026-11-25T02:00:13Z", or words where it does not say.
    std::string finished() const;
};

/// Looks at the folder of a publication, whose lock is held.
EarlierSet look_at_earlier_set(const std::filesystem::path& out, const Publication& publication);

/// What the figures of a run depend on beside its data: rings, weights, class table, terrain, what
/// ranks, filters, field corrections, version. Read from run.json.
nlohmann::json method_of(const nlohmann::json& manifest);

/// Names of what differs between two methods, such as "weights"; empty where figures compare.
std::vector<std::string> method_differences(const nlohmann::json& before,
                                            const nlohmann::json& after);

/// Twelve hex digits that differ where the method does, the version of the program left out.
std::string method_word(const nlohmann::json& method);

} // namespace fuelring
