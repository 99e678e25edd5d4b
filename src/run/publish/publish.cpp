// SPDX-License-Identifier: Apache-2.0

// Publishing a set of files as the folder `out` of a parent folder P. Names in P: `.out.lock`,
// `.out.new.RUNID` (staging), `.out.del.RUNID` (an old set on its way out).
//
// Promises; the tests cite the numbers.
//   0  What cannot work is said before any work: P missing or not writable, `out` a file, a mount
//      point, not writable or plainly somebody's own folder, too little room.
//   1  One run at a time. A second one fails at once and names the first. A dead run holds nothing.
//   2  Whatever an earlier run left, at whatever point it died, is put in order first: no file of
//      a user's is lost, what is left over goes, damage to the set in `out` is said.
//   3  Staging lies beside `out`, on its file system, with its mode and owner.
//   4  Every file of the set is on the disk and its size and SHA-256 are noted. The set is what the
//      run says it is: a file that is missing or that nobody named stops the publication.
//      A command that adds to a set keeps the other files: both sets name them until 9.
//   5  Files that a user put into `out` are carried over. run.json is written last and names all.
//   6  Folders are on the disk. A stop signal that came until here leaves `out` as it was.
//   7  `out` changes from the old set to the new one in one step; a reader sees one or the other.
//      Where the file system cannot exchange names, two renames are used, and run.json and the
//      notes say so.
//   8  Success is returned only when the change is on the disk. A failed fsync is not repeated: the
//      old set comes back, and where even that fails the message says that the new one is in place.
//   9  The old set is removed. If that fails the new set stands; the next run removes it.
//
// Where exchange works is tried with two empty folders after the repair (2), since they lie in P
// like staging. A failed fsync may leave either name on the disk; so after 8 staging is not
// removed by the run that failed but by the repair of the next one.
#include "run/publish/publish.hpp"

#include "base/program/durable_file.hpp"
#include "base/program/redacted_json.hpp"
#include "base/program/signals.hpp"
#include "run/publish/publish_fs.hpp"
#include "run/publish/staging_repair.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <unistd.h>

#include <algorithm>
#include <stdexcept>

namespace fuelring {

namespace fs = std::filesystem;

namespace {

constexpr int json_indent = 2;

void stop_if(const std::function<int()>& cancelled)
{
    const int signal = cancelled ? cancelled() : 0;
    if (signal != 0)
        throw SignalWatch::stopped_by(signal);
}

/// Promise 4: the entries of staging are the files the run names, no more and no less.
void check_names(const fs::path& staging, std::vector<std::string> files)
{
    for (const std::string& name : files)
        if (!is_name_below(name) || name == manifest_name)
            throw std::logic_error{"not a name of a published file: " + name};
    std::sort(files.begin(), files.end());
    std::vector<std::string> found;
    for (const fs::path& name : list_tree(staging).entries)
        found.push_back(name.string());
    std::vector<std::string> odd;
    std::set_symmetric_difference(found.begin(), found.end(), files.begin(), files.end(),
                                  std::back_inserter(odd));
    if (odd.empty())
        return;
    const bool extra = std::binary_search(found.begin(), found.end(), odd.front());
    throw Error{Failure::output,
                extra ? "a file that no part of the run names lies in the staging folder"
                      : "a file of the set was not made",
                (staging / odd.front()).string(), "please report this as an error of the program"};
}

FileDigest seal_file(const fs::path& file, const NamedDigests& known, const std::string& name)
{
    if (const auto at = known.find(name); at != known.end()) {
        std::error_code error;
        if (fs::file_size(file, error) == at->second.size && !error)
            return at->second;
        throw Error{Failure::output, "the file changed after it was written", file.string(),
                    "keep other programs out of the staging folder and run again"};
    }
    sync_to_disk(file);
    return entry_digest(file);
}

} // namespace

Publication::Publication(const fs::path& out, const PublicationOptions& options)
    : place_{find_place(out, options.room_bytes)}, lock_{place_.lock_file(), place_.out},
      previous_{repair(place_, notes_, found_whole_)}, staging_{place_.staging(run_id_)},
      two_renames_{options.two_renames || !probe_exchange(staging_)}
{
    make_folder(staging_);
    owns_staging_ = true;
    try {
        replaces_ = exists_here(place_.out);
        if (replaces_ && !take_owner_and_mode(staging_, place_.out))
            notes_.push_back(fmt::format("{} had another owner, which this user may not give",
                                         place_.out.string()));
    } catch (...) {
        discard();
        throw;
    }
    two_renames_ = two_renames_ && replaces_;
    if (two_renames_)
        notes_.emplace_back("this file system cannot exchange two folders: for a moment "
                            "between two renames the output folder is absent");
}

void Publication::say_new_notes(Log& log)
{
    for (; notes_said_ < notes_.size(); ++notes_said_)
        log.warn(notes_[notes_said_]);
}

/// The next run's repair does what fails here.
void Publication::discard() noexcept
{
    if (!owns_staging_)
        return;
    owns_staging_ = false;
    try {
        remove_tree(staging_, manifest_name);
    } catch (...) {
        return;
    }
}

NamedDigests Publication::seal(const std::vector<std::string>& files,
                               const std::function<int()>& cancelled,
                               const NamedDigests& known) const
{
    NamedDigests digests;
    for (const std::string& name : files) {
        stop_if(cancelled);
        digests[name] = seal_file(staging_ / name, known, name);
    }
    return digests;
}

void Publication::write_manifest(nlohmann::json& manifest, const NamedDigests& files,
                                 const NamedDigests& carried) const
{
    manifest = redacted_json(manifest);
    manifest["generation"] = previous_.generation + 1;
    manifest["run_id"] = run_id_;
    if (!manifest.contains("begun_by")) // else it adds to a set
        manifest["begun_by"] = run_id_;
    manifest["swap"] = two_renames_ ? "two renames" : "atomic";
    manifest["files"] = to_json(files);
    manifest["carried"] = to_json(carried);
    nlohmann::json& said = manifest["notes"];
    for (const std::string& note : notes_)
        said.push_back(note);
    if (said.is_null())
        said = nlohmann::json::array();
    // A user's file name may be no UTF-8: it is shown as well as can be.
    const std::string text =
        manifest.dump(json_indent, ' ', false, nlohmann::json::error_handler_t::replace) + '\n';
    write_durably(staging_ / manifest_name, text);
}

void Publication::sync_folders() const
{
    for (const fs::path& folder : list_tree(staging_).folders)
        sync_to_disk(staging_ / folder);
    sync_to_disk(staging_);
    sync_to_disk(place_.parent);
}

void Publication::swap() const
{
    constexpr const char* failure = "the new set cannot be put in place";
    if (!replaces_)
        return rename_to_free(staging_, place_.out, failure);
    if (!two_renames_) {
        if (const int failed = exchange(staging_, place_.out); failed != 0)
            throw output_error(failure, place_.out, failed);
        return;
    }
    const fs::path old = place_.retired(run_id_);
    rename_to_free(place_.out, old, failure);
    try {
        rename_to_free(staging_, place_.out, failure);
    } catch (const Error&) {
        rename_to_free(old, place_.out, "the earlier set cannot be brought back");
        throw;
    }
}

void Publication::swap_back() const
{
    constexpr const char* failure = "the earlier set cannot be brought back";
    if (replaces_ && !two_renames_) {
        if (const int failed = exchange(staging_, place_.out); failed != 0)
            throw output_error(failure, place_.out, failed);
        return;
    }
    rename_to_free(place_.out, staging_, failure);
    if (replaces_)
        rename_to_free(place_.retired(run_id_), place_.out, failure);
}

/// Promise 8.
void Publication::make_durable()
{
    try {
        sync_to_disk(place_.parent);
    } catch (const Error& error) {
        try {
            swap_back();
        } catch (const Error& second) {
            throw Error{Failure::output,
                        fmt::format("{}; {}: the new set is in place, whether it would survive a "
                                    "power cut is not known",
                                    error.what(), second.what()),
                        place_.out.string(), "check the disk, then run again"};
        }
        throw Error{Failure::output, std::string{error.what()} + "; the earlier set is back",
                    place_.out.string(), error.remedy()};
    }
}

/// Promise 9. Nothing that fails here takes the new set away.
void Publication::remove_old() noexcept
{
    if (!replaces_)
        return;
    try {
        const fs::path old = place_.retired(run_id_);
        if (!two_renames_)
            rename_to_free(staging_, old, "the old set cannot be renamed");
        retire(old, place_.out, run_id_, notes_);
    } catch (const Error& error) {
        notes_.push_back(
            "the new set is in place; the old one is left for the next run to remove: " +
            error.message());
    }
}

void Publication::keep_all_but(const std::vector<std::string>& made)
{
    for (const auto& [name, digest] : previous_.files) {
        if (std::find(made.begin(), made.end(), name) != made.end())
            continue;
        const fs::path from = place_.out / name;
        const fs::path to = staging_ / name;
        make_folders_below(staging_, fs::path{name}.parent_path());
        if (::link(from.c_str(), to.c_str()) != 0)
            copy_entry(from, to); // says what is wrong where that is more than a missing feature
        kept_[name] = digest;
    }
}

void Publication::commit(nlohmann::json manifest, std::vector<std::string> files,
                         const std::function<int()>& cancelled, NamedDigests known)
{
    for (const auto& [name, digest] : kept_)
        files.push_back(name);
    known.merge(kept_);
    check_names(staging_, files);
    const NamedDigests sealed = seal(files, cancelled, known);
    PublishedSet without = previous_;
    for (const std::string& name : aside_)
        without.files.erase(name);
    const NamedDigests carried = carry_over(place_, without, staging_, run_id_, notes_);
    write_manifest(manifest, sealed, carried);
    sync_folders();
    stop_if(cancelled);
    SignalWatch::see_it_through();
    swap();
    owns_staging_ = false; // from here that name may hold the old set
    make_durable();
    remove_old();
}

} // namespace fuelring
