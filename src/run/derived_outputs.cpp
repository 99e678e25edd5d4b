// SPDX-License-Identifier: Apache-2.0

// Derived files in the same publication: the plan is made on the rasters that lie finished in the
// staging folder, then the report from the whole folder and the run.json that it will get. What the
// commit adds to run.json (generation, run_id, carried files) neither of them shows.
#include "run/derived_outputs.hpp"

#include "base/program/digest.hpp"
#include "base/program/redacted_json.hpp"
#include "run/manifest/manifest.hpp"
#include "run/report/plan_steps.hpp"
#include "run/report/report_pages.hpp"
#include "run/report/sheet_text_in.hpp"
#include "run/stages/stage_phases.hpp"
#include "run/treat/treat_method.hpp"
#include "run/treat/treat_outputs.hpp"

#include <nlohmann/json.hpp>

#include <utility>

namespace fuelring {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

/// Whose the ground is a plan learns from the parcels cell by cell; owners come back with the
/// scope, since the tables of the run speak of them.
class WithoutOwners {
public:
    explicit WithoutOwners(Community& community)
        : community_(community), owners_(std::exchange(community.owners, std::nullopt))
    {}
    ~WithoutOwners() { community_.owners = std::move(owners_); }
    WithoutOwners(const WithoutOwners&) = delete;
    WithoutOwners& operator=(const WithoutOwners&) = delete;

private:
    Community& community_;
    decltype(Community::owners) owners_;
};

TreatmentResult make_plan(const StageContext& context, Inputs& inputs, const fs::path& staging,
                          json& manifest, Log& log)
{
    StageTimes stages;
    stages.begin("plan");
    const WithoutOwners aside{inputs.community};
    StageContext planning = context;
    planning.reuse = nullptr; // the run's own measures are told already
    TreatmentResult result = plan_treatment(planning, inputs, staging, log);
    stages.begin("write outputs");
    write_treatment(staging, result, *context.config.treatment, inputs,
                    context.config.output.csv_bom, context.jobs);
    require_unchanged(inputs.files);
    require_remote_unchanged(inputs.remote);
    stages.end();
    manifest["treatment"] = treatment_json(result, *context.config.treatment);
    manifest["treatment"]["method"] = treat_method(result, inputs, context.config);
    manifest["treatment"]["timings"] = timings_of(stages, {}, context.jobs);
    return result;
}

/// `files` of run.json as it will be.
json files_json(const fs::path& staging, const std::vector<std::string>& files)
{
    json list = json::array();
    for (const std::string& name : files) {
        const FileDigest digest = digest_of(staging / name);
        list.push_back({{"name", name}, {"size", digest.size}, {"sha256", digest.sha256}});
    }
    return list;
}

/// As the community lets expect it.
ReportPhases phases_of_report(const Community& community)
{
    return ReportPhases{{std::ssize(community.structures), std::ssize(community.addresses),
                         2 + std::ssize(community.neighbourhoods), 0}};
}

std::vector<std::string> make_report(const StageContext& context, const fs::path& staging,
                                     const std::vector<std::string>& files, json& manifest,
                                     Log& log)
{
    StageTimes stages;
    stages.begin("read the run");
    context.progress.begin(phases_of_report(context.community).read);
    json shown = redacted_json(manifest);
    shown["files"] = files_json(staging, files);
    const RunFolder run = run_folder_of(staging, std::move(shown));
    RunPicture picture = read_run_picture(run);
    if (picture.treatment)
        picture.treatment->steps = plan_steps(run, picture, context.jobs);
    stages.begin("render");
    Pages pages{staging, {}};
    render_pages(pages, run, picture, {}, english_sheet_text(), context.check_cancelled,
                 context.progress, log);
    stages.end();
    manifest["report"] = {{"files", pages.names()},
                          {"timings", timings_of(stages, {}, context.jobs)}};
    return pages.names();
}

} // namespace

std::int64_t work_of_also(const RunAlso& also, const Community& community)
{
    return (also.treat ? work_of_plan(community) : 0) +
           (also.report ? phases_of_report(community).work() : 0);
}

AlsoMade make_also(const StageContext& context, Inputs& inputs, const fs::path& staging,
                   const std::vector<std::string>& files, json& manifest, Log& log)
{
    AlsoMade made;
    if (context.config.run.also.treat) {
        made.plan = make_plan(context, inputs, staging, manifest, log);
        made.files = files_of(*made.plan);
    }
    context.check_cancelled();
    if (context.config.run.also.report) {
        std::vector<std::string> all = files;
        all.insert(all.end(), made.files.begin(), made.files.end());
        const std::vector<std::string> pages = make_report(context, staging, all, manifest, log);
        made.files.insert(made.files.end(), pages.begin(), pages.end());
    }
    return made;
}

bool has_also(const json& manifest, const RunAlso& also,
              const std::optional<TreatmentSettings>& treatment, Log& log)
{
    if (also.treat && !is_treatment_of(manifest.value("treatment", json()), *treatment)) {
        log.info("nothing changed, but the plan that run.also asks for is missing");
        return false;
    }
    if (also.report && !manifest.contains("report")) {
        log.info("nothing changed, but the report that run.also asks for is missing");
        return false;
    }
    return true;
}

} // namespace fuelring
