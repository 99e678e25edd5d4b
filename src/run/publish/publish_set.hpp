// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/digest.hpp"

#include <nlohmann/json_fwd.hpp>

#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

inline constexpr std::string_view manifest_name = "run.json";

using NamedDigests = std::map<std::string, FileDigest>;

/// What a folder's run.json says was published there.
struct PublishedSet {
    enum class State {
        none,    ///< no run.json: a folder of the user's, or none at all
        damaged, ///< a run.json that cannot be read as ours
        sound,   ///< read; the files themselves are not looked at
    } state = State::none;
    std::int64_t generation = 0;
    std::string run_id{};
    std::string begun_by{}; ///< the run that began the set, to which others may have added files
    NamedDigests files{};
    NamedDigests carried{}; ///< copies of a user's files, made when the set was published

    bool is_sound() const noexcept { return state == State::sound; }
    /// True for run.json, the files of the set and what programs lay beside them (`-wal` of a
    /// GeoPackage, `.aux.xml` of a raster): worthless or harmful beside a newer file.
    bool owns(const std::filesystem::path& name) const;
};

/// run.json of a folder, which somebody else may have made: a bound on its size, on how deep
/// it is nested, since copying is recursive, and on its numbers.
/// Throws: json::exception, or std::runtime_error with the reason where it cannot be read.
nlohmann::json read_manifest(const std::filesystem::path& folder);

/// What a run.json lists; damaged where it is not one that we write. Throws nothing.
PublishedSet set_of(const nlohmann::json& manifest);

bool has_manifest(const std::filesystem::path& folder);

/// Throws nothing for a bad run.json: that is a state.
PublishedSet read_set(const std::filesystem::path& folder);

/// What is wrong with a file that was published.
struct FileDamage {
    std::string text;     ///< a line that names the file
    bool missing = false; ///< else it cannot be read, or its size or digest differs
};

/// Empty where `folder / name` has this size and digest. Throws nothing for a file that cannot be
/// read: that is damage.
std::optional<FileDamage> damage_of_file(const std::filesystem::path& folder,
                                         const std::string& name, const FileDigest& digest);

/// One line for every file of the set that is damaged, and for a run.json that is.
std::vector<std::string> damage_of(const PublishedSet& set, const std::filesystem::path& folder);

/// [{name, size, sha256}], by name.
nlohmann::json to_json(const NamedDigests& digests);

/// True for a name that stays below its folder: relative, without "." and "..".
bool is_name_below(const std::filesystem::path& name);

/// True for what is `name` itself or what programs lay beside it.
bool is_companion(std::string_view entry, std::string_view name);

} // namespace fuelring
