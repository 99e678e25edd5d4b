// SPDX-License-Identifier: Apache-2.0
#include "run/appraise.hpp"

#include "base/program/signals.hpp"
#include "run/appraise/appraisal.hpp"
#include "run/appraise/appraise_outputs.hpp"
#include "run/appraise/method_note.hpp"
#include "run/cache/cache_keys.hpp"
#include "run/held_run.hpp"
#include "run/inputs/run_memory.hpp"
#include "run/inputs/systems.hpp"
#include "run/manifest/manifest.hpp"
#include "run/stages/slopes.hpp"
#include "run/stages/stage_phases.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <optional>
#include <utility>

namespace fuelring {

using nlohmann::json;

json run_appraise(const Config& config, const ProjectSource& source, const MapOptions& options,
                  Log& log)
{
    Progress progress{log};
    progress.begin({"reading inputs"});
    StageTimes stages;
    stages.begin("read inputs");
    const std::unique_ptr<Inputs> inputs = read_inputs(config, log, input_digests(config));
    const json digests = digests_of(*inputs);
    Warnings warnings;
    const ProjectLayer projects = read_projects(source, inputs->raster->analysis(), warnings);
    say_systems({projects.crs}, config.inputs.reprojected_within_m, log);
    for (const Warning& warning : warnings)
        log.warn(warning);
    stages.begin("hold a run");
    const Community& community = inputs->community;
    progress.expect(work_of_appraisal(community) + publishing(community).work);
    HeldRun run{config, options, digests, progress, log};

    stages.begin("appraise");
    find_slopes(*inputs, config, workers_of(config.run.jobs, options.jobs), stop_if_asked);
    // Figures of the structures are not split by owner here, only the ground of the projects.
    const std::optional<Ownership> owners = std::exchange(inputs->community.owners, std::nullopt);
    const MemoryPlan memory = plan_memory(*inputs, config, options.jobs, log);
    const StageContext context{config,       community,         *inputs->raster,
                               memory.jobs,  memory.tile_cells, progress,
                               stop_if_asked};
    const ProjectAccount account = appraise_projects(context, owners, projects, run.out);

    stages.begin("write outputs");
    progress.begin(publishing(community));
    write_appraisal(run.publication->staging(), account, *inputs, config, memory.jobs);
    require_unchanged(inputs->files);
    run.keep_all_but(files_of_appraise, log);
    stages.end();
    run.manifest["appraisal"] =
        appraisal_json(account, source, projects, warnings, config.appraise);
    run.manifest["appraisal"]["method"] = method_note(account, *inputs, config);
    run.manifest["appraisal"]["timings"] = timings_of(stages, {}, memory.jobs);
    run.publication->commit(run.manifest, files_of_appraise, SignalWatch::stop_signal);
    run.publication->say_new_notes(log);
    progress.done();

    say_appraisal(account, config, log);
    log.info(fmt::format("outputs in {}", run.out.string()));
    return {{"out", run.out.string()},
            {"community", config.community_name},
            {"caution", caution},
            {"appraisal", run.manifest.at("appraisal")}};
}

} // namespace fuelring
