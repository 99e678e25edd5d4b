// SPDX-License-Identifier: Apache-2.0

// run.json has no checksum of itself. Its own is told, so that whoever has to vouch for a run can
// keep it elsewhere; and it is asked twice, since a run that is published meanwhile replaces all.
#include "run/verify.hpp"

#include "base/program/signals.hpp"
#include "io/run_folder/run_folder.hpp"
#include "run/publish/publish_fs.hpp"
#include "run/schedule/memory.hpp"
#include "run/schedule/parallel.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <optional>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

namespace fuelring {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

constexpr const char* remedy = "take it from a backup, or run again the command that made it";

PublishedFolder opened(const fs::path& folder)
{
    PublishedFolder published = open_published(folder);
    if (published.set.state == PublishedSet::State::none)
        throw Error{Failure::input, "not a folder that fuelring published: it has no run.json",
                    folder.string(), "name the output folder of a command"};
    if (!published.set.is_sound())
        throw Error{Failure::input, damage_of(published.set, folder).front(), folder.string(),
                    remedy};
    return published;
}

/// Files with what is wrong with them, by name.
using Damages = std::vector<std::pair<std::string, FileDamage>>;

Damages damages_of(const NamedDigests& files, const fs::path& folder, int jobs)
{
    const std::vector<NamedDigests::value_type> list{files.begin(), files.end()};
    std::vector<std::optional<FileDamage>> found(list.size());
    for_each_in_parallel(jobs, list.size(), [&](std::size_t k) {
        stop_if_asked();
        found[k] = damage_of_file(folder, list[k].first, list[k].second);
    });
    Damages damages;
    for (std::size_t k = 0; k < list.size(); ++k)
        if (found[k])
            damages.emplace_back(list[k].first, *found[k]);
    return damages;
}

std::string manifest_digest(const fs::path& folder)
{
    try {
        return digest_of(folder / manifest_name).sha256;
    } catch (const std::system_error&) { // it could be read before
        throw another_run(folder);
    }
}

std::vector<std::string> added_to(const PublishedSet& set, const fs::path& folder)
{
    std::vector<std::string> added;
    for (const fs::path& entry : list_tree(folder).entries)
        if (const std::string name = entry.string();
            name != manifest_name && !set.files.contains(name) && !set.carried.contains(name))
            added.push_back(name);
    return added;
}

void warn_of_added(const PublishedSet& set, const std::vector<std::string>& added,
                   const fs::path& folder, Log& log)
{
    for (const std::string& name : added)
        log.warn(fmt::format("{}: {}", (folder / name).string(),
                             set.owns(name) ? "no run published it, and programs that open the "
                                              "file beside it may read it as well"
                                            : "no run published it"));
}

json names_of(const Damages& damages, bool missing)
{
    json names = json::array();
    for (const auto& [name, damage] : damages)
        if (damage.missing == missing)
            names.push_back(name);
    return names;
}

} // namespace

json run_verify(const VerifyOptions& options, Log& log)
{
    const fs::path& folder = options.run;
    const PublishedFolder run = opened(folder);
    const std::string manifest_sha256 = manifest_digest(folder);
    const int jobs = workers_of(0, options.jobs);
    const Damages damages = damages_of(run.set.files, folder, jobs);
    const Damages yours = damages_of(run.set.carried, folder, jobs);
    const std::vector<std::string> added = added_to(run.set, folder);
    if (manifest_digest(folder) != manifest_sha256)
        throw another_run(folder);

    for (const auto& [name, damage] : damages)
        log.error(Error{Failure::input, damage.text, folder.string(), remedy}.message());
    for (const auto& [name, damage] : yours)
        log.warn(fmt::format("a file of yours differs from when the run was published: {}",
                             damage.text));
    warn_of_added(run.set, added, folder, log);
    if (damages.empty())
        log.info(fmt::format("all {} files are as run.json says", run.set.files.size()));
    log.info(fmt::format("run {}, generation {}; SHA-256 of run.json: {}", run.set.run_id,
                         run.set.generation, manifest_sha256));

    json yours_changed = json::array();
    for (const auto& [name, damage] : yours)
        yours_changed.push_back(name);
    return {{"folder", folder.string()},
            {"kind", run.manifest.value("kind", json())},
            {"run_id", run.set.run_id},
            {"generation", run.set.generation},
            {"run_json_sha256", manifest_sha256},
            {"whole", damages.empty()},
            {"files", run.set.files.size()},
            {"missing", names_of(damages, true)},
            {"changed", names_of(damages, false)},
            {"added", added},
            {"yours_changed", yours_changed}};
}

} // namespace fuelring
