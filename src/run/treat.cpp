// SPDX-License-Identifier: Apache-2.0

// The plan's command: make sure that the run in the folder is the one that the configuration asks
// for, choose units, write their tables beside it, publish the set again.
#include "base/program/json_values.hpp"
#include "base/program/signals.hpp"
#include "run/cache/cache_keys.hpp"
#include "run/held_run.hpp"
#include "run/inputs/run_memory.hpp"
#include "run/manifest/manifest.hpp"
#include "run/map.hpp"
#include "run/publish/publish.hpp"
#include "run/stages/slopes.hpp"
#include "run/stages/stage_phases.hpp"
#include "run/treat/treat_method.hpp"
#include "run/treat/treat_outputs.hpp"
#include "run/treat/treat_plan.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <optional>
#include <utility>

namespace fuelring {

using nlohmann::json;

json run_treat(const Config& config, const MapOptions& options, Log& log)
{
    if (!config.treatment)
        throw Error{
            Failure::usage, "the key is missing: treat.budget is needed", config.file.string(),
            "add the table [treat] with budget = { hectares = 3 }, or { money = 50000 } and "
            "costs"};
    Progress progress{log};
    progress.begin({"reading inputs"});
    StageTimes stages;
    stages.begin("read inputs");
    const std::unique_ptr<Inputs> inputs = read_inputs(config, log, input_digests(config));
    const json digests = digests_of(*inputs);
    stages.begin("hold a run");
    const Community& community = inputs->community;
    progress.expect(work_of_plan(community) + publishing(community).work);
    HeldRun run{config, options, digests, progress, log};

    stages.begin("plan");
    find_slopes(*inputs, config, workers_of(config.run.jobs, options.jobs), stop_if_asked);
    inputs->community.owners.reset(); // whose the ground is comes from the parcels cell by cell
    const MemoryPlan memory = plan_memory(*inputs, config, options.jobs, log);
    const StageContext context{config,       community,         *inputs->raster,
                               memory.jobs,  memory.tile_cells, progress,
                               stop_if_asked};
    const TreatmentResult result = plan_treatment(context, *inputs, run.out, log);

    stages.begin("write outputs");
    progress.begin(publishing(community));
    write_treatment(run.publication->staging(), result, *config.treatment, *inputs,
                    config.output.csv_bom, memory.jobs);
    require_unchanged(inputs->files);
    run.keep_all_but(files_of_treat, log);
    stages.end();
    run.manifest["treatment"] = treatment_json(result, *config.treatment);
    run.manifest["treatment"]["method"] = treat_method(result, *inputs, config);
    run.manifest["treatment"]["timings"] = timings_of(stages, {}, memory.jobs);
    run.publication->commit(run.manifest, files_of(result), SignalWatch::stop_signal);
    run.publication->say_new_notes(log);
    progress.done();

    say_treatment(result, config, log);
    log.info(fmt::format("outputs in {}", run.out.string()));
    return {{"out", run.out.string()},
            {"community", config.community_name},
            {"caution", caution},
            {"treatment", run.manifest.at("treatment")}};
}

} // namespace fuelring
