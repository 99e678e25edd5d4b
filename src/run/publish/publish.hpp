// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/digest.hpp"

#include <nlohmann/json_fwd.hpp>

#include <cstdint>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <string>
#include <vector>

namespace fuelring {

struct PublicationOptions {
    std::uint64_t room_bytes = 0; ///< expected size of the new set; less room is an error at once
    bool two_renames = false;     ///< do not exchange even where the file system can
};

/// Publishes a set of files as the folder `out`, whole or not at all. The promises and the steps
/// are numbered at the top of publish.cpp. A symbolic link `out` is followed once, at the start.
class Publication {
public:
    /// Probes the place, takes the lock, repairs what an earlier run left, makes the staging
    /// folder. Throws: Error{output} or Error{locked}; `out` is then as before.
    explicit Publication(const std::filesystem::path& out, const PublicationOptions& options = {});
    ~Publication(); ///< without commit(): staging goes away, `out` is as before

    /// Where this run makes its files; beside `out`, on the same file system, with its mode.
    const std::filesystem::path& staging() const;
    /// What repair and commit found and did, one line each; for the log. Those known before the
    /// exchange are in run.json too.
    const std::vector<std::string>& notes() const;

    /// True where a whole set lay in `out` when it was taken: sound run.json, every file as it
    /// says.
    bool found_whole() const;
    /// The run that began it; others may have added files since.
    const std::string& found_run() const;
    /// The name of this run.
    const std::string& run_id() const;
    /// Beside `out`: what a run keeps for the next one.
    std::filesystem::path state_file() const;

    /// Puts the files of the set in `out` into staging too, unless `made` names them: as further
    /// names of the same files where the file system can, else as copies. Their names and digests,
    /// for `commit`. Throws: Error{output}.
    std::map<std::string, FileDigest> keep_all_but(const std::vector<std::string>& made);

    /// The old set's file of this name goes into the new set as a user's, under a name of its own
    /// that the notes say: another takes its name.
    void set_aside(const std::string& name);

    /// Seals the set: `manifest` gets generation, run_id, swap, files and carried (each with name,
    /// size, sha256) and notes, and is written as run.json, last; then fsync, exchange, fsync, old
    /// set removed. `files` are the names made by this run ("map.png", "styles/map.qml"); what else
    /// lies in `out` and is named by no manifest is a user's and carried over. `cancelled` returns
    /// the signal number that asked to stop, or 0; it is asked between files and for the last time
    /// just before the exchange. `known` saves reading a file again whose digest came from
    /// DurableFile::finish(). Throws: Error{output} or Error{interrupted/terminated}; `out` is then
    /// as before, or the message says otherwise (promise 8).
    void commit(nlohmann::json manifest, const std::vector<std::string>& files,
                const std::function<int()>& cancelled,
                const std::map<std::string, FileDigest>& known = {});

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

} // namespace fuelring
