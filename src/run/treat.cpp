// SPDX-License-Identifier: Apache-2.0

// The plan's command: make sure that the run in the folder is the one that the configuration asks
// for, choose units, write their tables beside it, publish the set again.
#include "base/program/json_values.hpp"
#include "base/program/signals.hpp"
#include "io/run_folder/run_folder.hpp"
#include "run/cache/cache_keys.hpp"
#include "run/inputs/run_memory.hpp"
#include "run/manifest/manifest.hpp"
#include "run/map.hpp"
#include "run/publish/publish.hpp"
#include "run/stages/slopes.hpp"
#include "run/treat/treat_outputs.hpp"
#include "run/treat/treat_plan.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <optional>
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
        if (role.starts_with("treat.")) // only a plan depends on it
            continue;
        const std::string key = digest.contains("sha256") ? "sha256" : "validator";
        if (at("/inputs/" + role + "/" + key) != digest.at(key))
            return role + " changed";
    }
    return {};
}

/// The output folder, held, with a run in it that serves.
class HeldRun {
public:
    HeldRun(const Config& config, const MapOptions& options, const json& digests, Log& log)
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
        MapOptions plain = options;
        plain.plain = true;
        run_map(config, plain, log);
        take(log);
        why = why_not_current(out, config.text_of_map, digests, manifest);
        if (!why.empty())
            throw Error{Failure::output, "the run that was just made does not serve: " + why,
                        out.string(), "keep other programs out of the folder and run again"};
    }
    fs::path out;
    std::optional<Publication> publication;
    json manifest;

private:
    void take(Log& log)
    {
        publication.emplace(out);
        publication->say_new_notes(log);
    }
};

/// Pages made before show the plan of before: their files, which are not kept.
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
        log.info("the report showed the earlier plan and was removed; run fuelring report again");
    return files;
}

} // namespace

json run_treat(const Config& config, const MapOptions& options, Log& log)
{
    if (!config.treatment)
        throw Error{
            Failure::usage, "the key is missing: treat.budget is needed", config.file.string(),
            "add the table [treat] with budget = { hectares = 3 }, or { money = 50000 } and "
            "costs"};
    StageTimes stages;
    stages.begin("read inputs");
    const std::unique_ptr<Inputs> inputs = read_inputs(config, log, input_digests(config));
    const json digests = digests_of(*inputs);
    stages.begin("hold a run");
    HeldRun run{config, options, digests, log};

    stages.begin("plan");
    find_slopes(*inputs, config, workers_of(config.run.jobs, options.jobs), stop_if_asked);
    inputs->community.owners.reset(); // whose the ground is comes from the parcels cell by cell
    const MemoryPlan memory = plan_memory(*inputs, config, options.jobs, log);
    Progress progress{log, 2 * work_of::measure *
                               static_cast<std::int64_t>(inputs->community.structures.size())};
    const StageContext context{config,       inputs->community, *inputs->raster,
                               memory.jobs,  memory.tile_cells, progress,
                               stop_if_asked};
    const TreatmentResult result = plan_treatment(context, *inputs, run.out, log);

    stages.begin("write outputs");
    write_treatment(run.publication->staging(), result, *inputs, config.output.csv_bom,
                    memory.jobs);
    require_unchanged(inputs->files);
    std::vector<std::string> not_kept = take_out_reports(run.manifest, log);
    not_kept.insert(not_kept.end(), files_of_treat.begin(), files_of_treat.end());
    run.publication->keep_all_but(not_kept);
    stages.end();
    run.manifest["treatment"] = treatment_json(result, *config.treatment);
    run.manifest["treatment"]["timings"] = timings_of(stages, {}, memory.jobs);
    run.publication->commit(run.manifest, files_of_treat, SignalWatch::stop_signal);
    run.publication->say_new_notes(log);
    progress.done();

    say_treatment(result, *config.treatment, log);
    log.info(fmt::format("outputs in {}", run.out.string()));
    return {{"out", run.out.string()},
            {"community", config.community_name},
            {"caution", caution},
            {"treatment", run.manifest.at("treatment")}};
}

} // namespace fuelring
