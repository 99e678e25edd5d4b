// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "run/publish/publish_lock.hpp"
#include "run/publish/staging_repair.hpp"

#include <nlohmann/json_fwd.hpp>

#include <cstdint>
#include <filesystem>
#include <functional>
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
    ~Publication() { discard(); } ///< without commit(): staging goes away, `out` is as before
    Publication(const Publication&) = delete;
    Publication& operator=(const Publication&) = delete;

    /// Where this run makes its files; beside `out`, on the same file system, with its mode.
    const std::filesystem::path& staging() const { return staging_; }
    /// What repair and commit found and did, one line each; for the log. Those known before the
    /// exchange are in run.json too.
    const Notes& notes() const { return notes_; }
    /// Warns of the notes that were not yet said.
    void say_new_notes(Log& log);

    /// True where a whole set lay in `out` when it was taken: sound run.json, every file as it
    /// says.
    bool found_whole() const { return found_whole_; }
    /// The run that began it; others may have added files since.
    const std::string& found_run() const { return previous_.begun_by; }
    /// The name of this run.
    const std::string& run_id() const { return run_id_; }
    /// Beside `out`: what a run keeps for the next one.
    std::filesystem::path state_file() const { return place_.state_file(); }

    /// Puts the files of the set in `out` into staging too, unless `made` names them: as further
    /// names of the same files where the file system can, else as copies. commit() publishes them
    /// with those that are made. Throws: Error{output}.
    void keep_all_but(const std::vector<std::string>& made);

    /// The old set's file of this name goes into the new set as a user's, under a name of its own
    /// that the notes say: another takes its name.
    void set_aside(const std::string& name) { aside_.push_back(name); }

    /// Seals the set: `manifest` gets generation, run_id, swap, files and carried (each with name,
    /// size, sha256) and notes, and is written as run.json, last; then fsync, exchange, fsync, old
    /// set removed. `files` are the names made by this run ("map.png", "styles/map.qml"); what else
    /// lies in `out` and is named by no manifest is a user's and carried over. `cancelled` returns
    /// the signal number that asked to stop, or 0; it is asked between files and for the last time
    /// just before the exchange. `known` saves reading a file again whose digest came from
    /// DurableFile::finish(). Throws: Error{output} or Error{interrupted/terminated}; `out` is then
    /// as before, or the message says otherwise (promise 8).
    void commit(nlohmann::json manifest, std::vector<std::string> files,
                const std::function<int()>& cancelled, NamedDigests known = {});

private:
    void discard() noexcept;
    NamedDigests seal(const std::vector<std::string>& files, const std::function<int()>& cancelled,
                      const NamedDigests& known) const;
    void write_manifest(nlohmann::json& manifest, const NamedDigests& files,
                        const NamedDigests& carried) const;
    void sync_folders() const;
    void swap() const;
    void swap_back() const;
    void make_durable();
    void remove_old() noexcept;

    Place place_;
    FolderLock lock_; ///< held from before the repair until this object is gone
    Notes notes_;
    std::size_t notes_said_ = 0;
    bool found_whole_ = false; ///< set by repair
    PublishedSet previous_;
    std::string run_id_ = make_run_id();
    std::filesystem::path staging_;
    bool two_renames_;
    bool replaces_ = false;          ///< there is an old set
    bool owns_staging_ = false;      ///< what bears the name of staging is to go with this object
    NamedDigests kept_;              ///< of the old set's files that stay
    std::vector<std::string> aside_; ///< files of the old set that are kept as a user's
};

} // namespace fuelring
