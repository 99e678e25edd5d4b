// SPDX-License-Identifier: Apache-2.0
#include "run/held_run.hpp"

#include "base/program/json_values.hpp"
#include "io/run_folder/run_folder.hpp"
#include "run/manifest/manifest.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <utility>

namespace fuelring {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

/// Why the run in a folder does not serve; empty where it does.
std::string why_not_current(const fs::path& out, const std::string& text_of_map,
                            const json& digests, json& manifest)
{
    PublishedFolder found = open_published(out);
    if (found.set.state == PublishedSet::State::none)
        return "there is no run yet";
    if (!found.set.is_sound() || !damage_of(found.set, out).empty())
        return "the run is damaged";
    manifest = std::move(found.manifest);
    const auto at = [&](const std::string& path) { return value_at(manifest, path.c_str()); };
    if (at("/schema_version") != schema_version || at("/program") != program_versions())
        return "the run was made by another version";
    if (at("/configuration/sha256_of_map") != digest_of_bytes(text_of_map).sha256)
        return "the configuration changed";
    for (const auto& [role, digest] : digests.items()) {
        // Only a plan depends on the one, only a report on the other.
        if (role.starts_with("treat.") || role.starts_with("report."))
            continue;
        const std::string key = digest.contains("sha256") ? "sha256" : "validator";
        if (at("/inputs/" + role + "/" + key) != digest.at(key))
            return role + " changed";
    }
    return {};
}

/// Takes the pages made before out of the manifest; their files.
std::vector<std::string> take_out_reports(json& manifest, Log& log)
{
    std::vector<std::string> files;
    for (const char* key : {"report", "public_report"}) {
        if (!manifest.contains(key))
            continue;
        for (const json& name : manifest.at(key).value("files", json::array()))
            files.push_back(name);
        manifest.erase(key);
    }
    if (!files.empty())
        log.info("the report does not show what is new and was removed; run fuelring report again");
    return files;
}

} // namespace

HeldRun::HeldRun(const Config& config, const MapOptions& options, const json& digests,
                 Progress& progress, Log& log)
    : out(options.out.value_or(config.output.dir))
{
    take(log);
    std::string why = why_not_current(out, config.text_of_map, digests, manifest);
    if (why.empty())
        return;
    log.info(fmt::format("running map first: {}", why));
    // `map` takes the folder's lock itself, so this one has to be given up. Another program may
    // then come between, so the folder is judged again.
    publication.reset();
    MapOptions first = options;
    first.before = &progress;
    run_map(config, first, log);
    take(log);
    why = why_not_current(out, config.text_of_map, digests, manifest);
    if (!why.empty())
        throw Error{Failure::output, "the run that was just made does not serve: " + why,
                    out.string(), "keep other programs out of the folder and run again"};
}

void HeldRun::take(Log& log)
{
    publication.emplace(out);
    publication->say_new_notes(log);
}

void HeldRun::keep_all_but(std::vector<std::string> own, Log& log)
{
    const std::vector<std::string> pages = take_out_reports(manifest, log);
    own.insert(own.end(), pages.begin(), pages.end());
    publication->keep_all_but(own);
}

} // namespace fuelring
