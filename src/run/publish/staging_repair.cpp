// SPDX-License-Identifier: Apache-2.0

// What a run that died leaves beside `out`, and how it is told apart. RUNID is in the name.
//
//   .out.del.RUNID                      an old set, after the exchange
//   .out.new.RUNID, out is of RUNID     an old set: the run died between exchange and removal
//   .out.new.RUNID, run.json of another an old set likewise
//   .out.state.new                      a state that was not finished: nothing of a user's
//   .out.new.RUNID otherwise            staging that was never `out`: all in it is the run's own
//
// An old set may hold what a user put there; staging cannot. The manifest of a folder is removed
// last, so a removal that is interrupted can be taken up again.
#include "run/publish/staging_repair.hpp"

#include "base/program/durable_file.hpp"
#include "run/publish/publish_fs.hpp"

#include <fmt/format.h>
#include <sys/stat.h>

#include <algorithm>
#include <cstdint>
#include <optional>
#include <system_error>

namespace fuelring {

namespace fs = std::filesystem;

namespace {

/// A folder without run.json that holds more than this was hardly meant as an output folder.
constexpr std::size_t most_foreign_files = 1000;
constexpr std::uint64_t most_foreign_bytes = 1'000'000'000;

struct Stray {
    fs::path folder;
    std::string run_id;
    bool retired = false; ///< by its name an old set
};

std::vector<Stray> find_strays(const Place& place)
{
    std::vector<Stray> strays;
    std::error_code error, ignored;
    for (fs::directory_iterator at{place.parent, error}, end; !error && at != end;
         at.increment(error)) {
        const std::string name = at->path().filename().string();
        for (const std::string& prefix : {place.staging_prefix(), place.retired_prefix()}) {
            // A run id has no dot: `.out.new.new.ID` is staging of a folder `out.new`.
            const bool ours = name.starts_with(prefix) &&
                              name.find('.', prefix.size()) == std::string::npos &&
                              fs::is_directory(fs::symlink_status(at->path(), ignored));
            if (ours)
                strays.push_back(
                    {at->path(), name.substr(prefix.size()), prefix == place.retired_prefix()});
        }
    }
    if (error)
        throw output_error("the folder cannot be listed", place.parent, error.value());
    std::sort(strays.begin(), strays.end(),
              [](const Stray& a, const Stray& b) { return a.folder < b.folder; });
    return strays;
}

enum class Kind { old_set, staging, unknown };

Kind kind_of(const Stray& stray, const PublishedSet& in_out)
{
    if (stray.retired || (in_out.is_sound() && in_out.run_id == stray.run_id))
        return Kind::old_set;
    const PublishedSet inside = read_set(stray.folder);
    if (inside.is_sound())
        return inside.run_id == stray.run_id ? Kind::staging : Kind::old_set;
    // A sound or absent manifest of `out` would have told an old set; a damaged one cannot.
    const bool can_tell = in_out.state != PublishedSet::State::damaged;
    return can_tell || list_tree(stray.folder).entries.empty() ? Kind::staging : Kind::unknown;
}

/// After two renames of which the second never came, or where `out` was removed since: the newest
/// old set becomes `out` again.
void bring_back_out(const Place& place, std::vector<Stray>& strays, Notes& notes)
{
    auto newest = strays.end();
    std::int64_t newest_generation = -1;
    for (auto stray = strays.begin(); stray != strays.end(); ++stray) {
        const std::int64_t generation = read_set(stray->folder).generation;
        if (kind_of(*stray, {}) == Kind::old_set && generation > newest_generation) {
            newest = stray;
            newest_generation = generation;
        }
    }
    if (newest == strays.end())
        return;
    rename_to_free(newest->folder, place.out, "the earlier set cannot be brought back");
    sync_to_disk(place.parent);
    notes.push_back(fmt::format("{} was missing: the set of an interrupted run was brought back",
                                place.out.string()));
    strays.erase(newest);
}

/// True if the set in `out` holds a copy of this entry of an old set: made when it was published,
/// or just the same.
bool has_copy(const PublishedSet& set, const fs::path& out, const fs::path& name,
              const fs::path& entry)
{
    struct stat about {};
    if (::lstat(entry.c_str(), &about) != 0 || !(S_ISREG(about.st_mode) || S_ISLNK(about.st_mode)))
        return false;
    const FileDigest digest = entry_digest(entry);
    const std::string kept = name.string() + ".kept-";
    for (const auto& [carried, copy] : set.carried)
        if (copy == digest && (carried == name || carried.starts_with(kept)))
            return true;
    std::error_code ignored;
    return fs::is_regular_file(fs::symlink_status(out / name, ignored)) &&
           entry_digest(out / name) == digest;
}

void bring_into(const fs::path& out, const fs::path& from, const fs::path& name,
                const std::string& tag, const PublishedSet& set, Notes& notes)
{
    const bool taken = exists_here(out / name) || set.owns(name) || name == manifest_name;
    const fs::path to = taken ? kept_name(name, tag) : name;
    make_folders_below(out, to.parent_path());
    rename_to_free(from, out / to, "a file of yours cannot be brought over");
    notes.push_back(
        fmt::format("{}: a file of yours was brought over from the old set", (out / to).string()));
}

/// Guards against output.dir naming a home or project folder by mistake.
void check_foreign(const Place& place, const PublishedSet& set)
{
    if (set.is_sound() || !exists_here(place.out))
        return;
    const Tree tree = list_tree(place.out);
    std::uint64_t bytes = 0;
    std::error_code ignored;
    for (const fs::path& name : tree.entries)
        if (fs::is_regular_file(fs::symlink_status(place.out / name, ignored)))
            bytes += fs::file_size(place.out / name, ignored);
    if (tree.entries.size() > most_foreign_files || bytes > most_foreign_bytes)
        throw Error{Failure::output,
                    fmt::format("the output folder has {} files ({} MB) and no sound run.json: "
                                "it was hardly made by fuelring",
                                tree.entries.size(), bytes / 1'000'000),
                    place.out.string(), "move it away, or choose a new folder as output.dir"};
}

} // namespace

fs::path kept_name(const fs::path& name, const std::string& tag)
{
    return name.string() + ".kept-" + tag;
}

void retire(const fs::path& old_folder, const fs::path& out, const std::string& tag, Notes& notes)
{
    const PublishedSet old_set = read_set(old_folder);
    const PublishedSet set = read_set(out);
    bool brought = false;
    for (const fs::path& name : list_tree(old_folder).entries) {
        if (old_set.owns(name) || has_copy(set, out, name, old_folder / name))
            continue;
        bring_into(out, old_folder / name, name, tag, set, notes);
        brought = true;
    }
    if (brought)
        sync_to_disk(out);
    remove_tree(old_folder, manifest_name);
}

PublishedSet repair(const Place& place, Notes& notes, bool& whole)
{
    std::error_code ignored; // who makes the next one tries again
    fs::remove(place.state_in_the_making(), ignored);
    std::vector<Stray> strays = find_strays(place);
    if (!exists_here(place.out))
        bring_back_out(place, strays, notes);
    const PublishedSet set = read_set(place.out);
    for (const Stray& stray : strays)
        switch (kind_of(stray, set)) {
        case Kind::old_set:
            retire(stray.folder, place.out, stray.run_id, notes);
            notes.push_back("removed the old set that an interrupted run left: " +
                            stray.folder.string());
            break;
        case Kind::staging:
            remove_tree(stray.folder, manifest_name);
            notes.push_back("removed what an interrupted run left: " + stray.folder.string());
            break;
        case Kind::unknown:
            notes.push_back(fmt::format("{} is left in place: without a sound run.json in {} it "
                                        "cannot be told whether files of yours are in it",
                                        stray.folder.string(), place.out.string()));
        }
    check_foreign(place, set);
    std::vector<std::string> damage = damage_of(set, place.out);
    whole = set.is_sound() && damage.empty();
    for (std::string& line : damage)
        notes.push_back(std::move(line));
    return set;
}

NamedDigests carry_over(const Place& place, const PublishedSet& set, const fs::path& staging,
                        const std::string& run_id, Notes& notes)
{
    NamedDigests carried;
    if (!exists_here(place.out))
        return carried;
    for (const fs::path& name : list_tree(place.out).entries) {
        if (set.owns(name)) {
            if (name != manifest_name && !set.files.contains(name.string()))
                notes.push_back(fmt::format("{} belongs to a file of the old set and goes with it",
                                            (place.out / name).string()));
            continue;
        }
        const bool taken = exists_here(staging / name) || name == manifest_name;
        const fs::path to = taken ? kept_name(name, run_id) : name;
        if (taken)
            notes.push_back(fmt::format("{}: the set has a file of this name; yours is now {}",
                                        (place.out / name).string(), to.string()));
        make_folders_below(staging, to.parent_path());
        carried[to.string()] = copy_entry(place.out / name, staging / to);
    }
    return carried;
}

} // namespace fuelring
