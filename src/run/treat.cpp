// SPDX-License-Identifier: Apache-2.0

// The plan's command: make sure that the run in the folder is the one that the configuration asks
// for, choose units, write their tables beside it, publish the set anew.
#include "run/treat.hpp"

#include "run/manifest.hpp"
#include "run/memory.hpp"
#include "run/parallel.hpp"
#include "run/publish.hpp"
#include "run/publish_set.hpp"
#include "run/signals.hpp"
#include "run/slopes.hpp"
#include "run/treat_plan.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <csignal>
#include <optional>

namespace fuelring {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

const std::vector<std::string> files_of_treat{
    "treatment_units.csv",  "benefit_curve.csv",  "treatment_exposure.csv", "treatment.gpkg",
    "treatment_units.csvt", "benefit_curve.csvt", "treatment_exposure.csvt"};

constexpr const char* candidates =
    "Each unit is a candidate: it needs a visit to the site, the owner's consent, and local rules.";

void stop_if_asked()
{
    if (const int signal = SignalWatch::stop_signal())
        throw Error{signal == SIGINT ? Failure::interrupted : Failure::terminated,
                    "stopped by a signal; earlier outputs are untouched"};
}

/// Why the run in a folder does not serve; empty where it does.
std::string why_not_current(const fs::path& out, const Config& config, const json& digests,
                            json& manifest)
{
    const PublishedSet set = read_set(out);
    if (set.state == PublishedSet::State::none)
        return "there is no run yet";
    if (!set.is_sound() || !damage_of(set, out).empty())
        return "the run is damaged";
    manifest = read_manifest(out);
    const json none;
    const auto at = [&](const char* path) {
        const json::json_pointer pointer{path};
        return manifest.contains(pointer) ? manifest.at(pointer) : none;
    };
    if (at("/program") != program_versions())
        return "the run was made by another version";
    if (at("/configuration/sha256_of_map") != digest_of_bytes(config.text_of_map).sha256)
        return "the configuration changed";
    for (const auto& [role, digest] : digests.items()) {
        const std::string key = digest.contains("sha256") ? "sha256" : "validator";
        if (at(("/inputs/" + role + "/" + key).c_str()) != digest.at(key))
            return role + " changed";
    }
    return {};
}

/// The settings that made a plan, for run.json.
json settings_json(const TreatmentSettings& s)
{
    json costs = json::array();
    for (const TreatmentCost& cost : s.costs)
        costs.push_back({{"owner", cost.owner}, {"method", cost.method}, {"per_ha", cost.per_ha}});
    return {{"budget", s.money ? json{{"money", *s.money}} : json{{"hectares", *s.hectares}}},
            {"smallest_m2", s.smallest_m2},
            {"gap_m", s.gap_m},
            {"max_unit_m2", s.max_unit_m2},
            {"fixed_cost_per_unit", s.fixed_cost_per_unit},
            {"residual_share", s.residual_share},
            {"costs", costs}};
}

json bounds_json(const plan::Bounds& bounds)
{
    json larger = json::array();
    for (const plan::SizeBound& size : bounds.larger)
        larger.push_back(
            {{"smallest_m2", size.smallest_m2}, {"most_exposure_removable", size.most_points}});
    return {{"fractional_optimum", bounds.fractional},
            {"reachable", bounds.reachable},
            {"reachable_at_larger_sizes", larger}};
}

json result_json(const TreatmentResult& r, const Config& config)
{
    json strategies = json::array();
    for (const Strategy& s : r.strategies)
        strategies.push_back({{"where", s.where},
                              {"conifer_ha", s.conifer_ha},
                              {"cost", s.cost},
                              {"exposure_removed", s.exposure_removed}});
    return {
        {"note", candidates},
        {"settings", settings_json(*config.treatment)},
        {"units", r.units},
        {"conifer_ha", r.conifer_ha},
        {"cost", r.cost},
        {"exposure_removed", r.exposure_removed},
        {"share_of_exposure_removed", r.sum_before > 0 ? r.exposure_removed / r.sum_before : 0.0},
        {"homes_helped", r.homes_helped},
        {"sum_exposure_before", r.sum_before},
        {"sum_exposure_after", r.sum_after},
        {"bounds", bounds_json(r.bounds)},
        {"strategies", strategies},
        {"conifer_in_reach_ha", r.conifer_in_reach_ha},
        {"conifer_cells_in_reach", r.conifer_cells},
        {"conifer_cells_kept_out", r.cells_kept_out}};
}

double percent(double part, double whole)
{
    return whole > 0 ? 100 * part / whole : 0;
}

void say_plan(const TreatmentResult& r, const Config& config, Log& log)
{
    const TreatmentSettings& s = *config.treatment;
    if (r.units == 0)
        log.warn(
            r.conifer_in_reach_ha > 0
                ? fmt::format("no unit: the budget does not pay for one of {:g} m2 of conifers",
                              s.smallest_m2)
                : std::string{"no unit: no conifers within reach may be treated"});
    log.info(fmt::format(
        "{} units, {:.4f} ha of conifers, cost {:.2f}, of a budget of {}", r.units, r.conifer_ha,
        r.cost, s.money ? fmt::format("{:.2f}", *s.money) : fmt::format("{:.4f} ha", *s.hectares)));
    log.info(
        fmt::format("they remove {:.4f} points of exposure, {:.1f} % of the community's {:.4f}; "
                    "{} homes are helped",
                    r.exposure_removed, percent(r.exposure_removed, r.sum_before), r.sum_before,
                    r.homes_helped));
    log.info(fmt::format("no plan of this budget can remove more than {:.4f} (cells one by one) or "
                         "{:.4f} (units of {:g} m2)",
                         r.bounds.fractional, r.bounds.reachable, s.smallest_m2));
    for (const plan::SizeBound& size : r.bounds.larger)
        log.info(
            fmt::format("  units of {:g} m2: at most {:.4f}", size.smallest_m2, size.most_points));
    for (const Strategy& strategy : r.strategies)
        log.info(fmt::format("  the same budget {}: {:.4f} ha, {:.4f} points", strategy.where,
                             strategy.conifer_ha, strategy.exposure_removed));
    log.info(caution);
    log.info(candidates);
}

void write_tables(const fs::path& staging, const TreatmentResult& r, const Inputs& inputs, bool bom,
                  int jobs)
{
    const Community& community = inputs.community;
    run_in_parallel(jobs, {[&] {
                               write_treatment_gpkg(staging / "treatment.gpkg", r.rows, community,
                                                    r.exposure, inputs.raster->grid(),
                                                    inputs.raster->crs());
                           },
                           [&] { write_units_csv(staging / "treatment_units.csv", r.rows, bom); },
                           [&] { write_curve_csv(staging / "benefit_curve.csv", r.curve, bom); },
                           [&] {
                               write_exposure_csv(staging / "treatment_exposure.csv", community,
                                                  r.exposure, bom);
                           }});
}

/// The output folder, held, with a run in it that serves.
class HeldRun {
public:
    HeldRun(const Config& config, const MapOptions& options, const json& digests, Log& log)
        : out(options.out.value_or(config.out_dir)), log_(log)
    {
        take();
        std::string why = why_not_current(out, config, digests, manifest);
        if (why.empty())
            return;
        log.info(fmt::format("map runs first: {}", why));
        publication.reset();
        run_map(config, options, log);
        take();
        why = why_not_current(out, config, digests, manifest);
        if (!why.empty())
            throw Error{Failure::output, "the run that was just made does not serve: " + why,
                        out.string(), "keep other programs out of the folder and run again"};
    }
    void say_notes()
    {
        for (; notes_said_ < publication->notes().size(); ++notes_said_)
            log_.warn(publication->notes()[notes_said_]);
    }

    fs::path out;
    std::optional<Publication> publication;
    json manifest;

private:
    void take()
    {
        publication.emplace(out);
        notes_said_ = 0;
        say_notes();
    }
    Log& log_;
    std::size_t notes_said_ = 0;
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
        log.info("the report is left out, since it shows the plan of before: run fuelring report "
                 "again");
    return files;
}

void require_treatment(const Config& config)
{
    if (!config.treatment)
        throw Error{Failure::usage, "the key is missing: treat.budget is needed",
                    config.file.string(),
                    "add the table [treat] with budget = { money = 50000 } or { hectares = 3 }"};
}

} // namespace

json run_treat(const Config& config, const MapOptions& options, Log& log)
{
    require_treatment(config);
    StageTimes stages;
    stages.begin("read inputs");
    const std::unique_ptr<Inputs> inputs = read_inputs(config, log);
    json digests = digests_of(inputs->files);
    digests.update(remote_inputs_json(inputs->remote));
    stages.begin("hold a run");
    HeldRun run{config, options, digests, log};

    stages.begin("plan");
    find_slopes(*inputs, config, workers_of(config, options.jobs), stop_if_asked);
    inputs->community.owners.reset(); // whose the ground is comes from the parcels cell by cell
    const MemoryPlan memory = plan_memory(*inputs, config, options.jobs, log);
    Progress progress{log, 2 * work_of::measure *
                               static_cast<std::int64_t>(inputs->community.structures.size())};
    const StageContext context{config,       inputs->community, *inputs->raster,
                               memory.jobs,  memory.tile_cells, progress,
                               stop_if_asked};
    const TreatmentResult result = plan_treatment(context, *inputs, run.out, log);

    stages.begin("write outputs");
    write_tables(run.publication->staging(), result, *inputs, config.csv_bom, memory.jobs);
    require_unchanged(inputs->files);
    std::vector<std::string> not_kept = take_out_reports(run.manifest, log);
    not_kept.insert(not_kept.end(), files_of_treat.begin(), files_of_treat.end());
    const auto kept = run.publication->keep_all_but(not_kept);
    std::vector<std::string> files = files_of_treat;
    for (const auto& [name, digest] : kept)
        files.push_back(name);
    stages.end();
    run.manifest["treatment"] = result_json(result, config);
    run.manifest["treatment"]["timings"] = timings_of(stages, {}, memory.jobs);
    run.publication->commit(run.manifest, files, SignalWatch::stop_signal, kept);
    run.say_notes();
    progress.done();

    say_plan(result, config, log);
    log.info(fmt::format("outputs in {}", run.out.string()));
    return {{"out", run.out.string()},
            {"community", config.community_name},
            {"caution", caution},
            {"treatment", run.manifest.at("treatment")}};
}

} // namespace fuelring
