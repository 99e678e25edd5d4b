// SPDX-License-Identifier: Apache-2.0

// The main job, as a paragraph: make the fuel raster where run.classify asks for it, hold the
// output folder and look whether anything changed since the run that lies there
// (run/cache/result_cache.hpp), read the inputs, measure every structure and rank, write rasters
// and tables, publish.

#include "run/map.hpp"

#include "base/program/json_values.hpp"
#include "base/program/signals.hpp"
#include "io/run_folder/previous_run.hpp"
#include "run/cache/result_cache.hpp"
#include "run/classify.hpp"
#include "run/derived_outputs.hpp"
#include "run/gate/gate.hpp"
#include "run/history/changes.hpp"
#include "run/history/history.hpp"
#include "run/history/method.hpp"
#include "run/inputs/inputs.hpp"
#include "run/inputs/run_memory.hpp"
#include "run/manifest/manifest.hpp"
#include "run/manifest/map_method.hpp"
#include "run/map_outputs.hpp"
#include "run/map_summary.hpp"
#include "run/publish/publish.hpp"
#include "run/shards/merged_results.hpp"
#include "run/stages/result_source.hpp"
#include "run/stages/sensitivity.hpp"
#include "run/stages/slopes.hpp"
#include "run/stages/stage_phases.hpp"
#include "run/stages/stages.hpp"
#include "run/treat/treat_outputs.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <memory>
#include <utility>

namespace fuelring {

namespace {

void append(std::vector<std::string>& files, const std::vector<std::string>& more)
{
    files.insert(files.end(), more.begin(), more.end());
}

/// A run, from the held folder to the published set. The steps are called once each, in order.
class MapRun {
public:
    MapRun(const Config& config, const MapOptions& options, Log& log);

    /// Whether the folder holds this very run, of the same bytes of everything.
    bool is_made() const;
    nlohmann::json made() const { return say_same_run(earlier_, log_); }

    void read();
    void measure();
    void write();
    nlohmann::json publish(const nlohmann::json& fuel);

private:
    void rank();
    void make_rasters(MapRasters& rasters);
    std::vector<std::string> continue_history(const nlohmann::json& manifest);
    void keep_state();
    nlohmann::json manifest(const SinceLastRun& since, const nlohmann::json& basis) const;
    nlohmann::json say(const nlohmann::json& manifest, const SinceLastRun& since,
                       const AlsoMade& also);

    const Config& config_;
    const MapOptions& options_;
    Log& log_;
    StageTimes stages_;
    WorkTimes work_;
    std::optional<Progress> own_progress_;
    Progress& progress_;

    // The held folder, what lies there, and what of it can be reused.
    std::filesystem::path out_;
    std::unique_ptr<Publication> publication_;
    PreviousRun earlier_;
    std::string published_; ///< run_id of the set that lies there whole
    InputDigests digests_;
    std::unique_ptr<Reuse> reuse_;
    std::vector<PartReader> parts_; ///< none where this run computes

    // What was read, and how work is cut.
    std::unique_ptr<Inputs> inputs_;
    std::unique_ptr<InputGate> gate_;
    MemoryPlan memory_;
    std::unique_ptr<StageContext> context_;

    // What was found.
    std::unique_ptr<ResultSource> source_;
    std::vector<MeasuredStructure> measures_;
    UnionCounts union_counts_;
    std::vector<StructureResult> results_;
    std::vector<AddressRow> rows_;
    std::vector<NeighbourhoodRow> neighbourhoods_;
    std::optional<RegistrationDraws> draws_;
    std::optional<SensitivityFindings> sensitivity_;
    SurfaceTotals surface_;
    std::unique_ptr<RunTables> tables_;
    std::int64_t neutralised_ = 0;
};

MapRun::MapRun(const Config& config, const MapOptions& options, Log& log)
    : config_(config), options_(options), log_(log),
      progress_(options.before ? *options.before : own_progress_.emplace(log)),
      out_(options.out.value_or(config.output.dir))
{
    progress_.begin({"looking for changes"});
    stages_.begin("hold the output folder");
    publication_ = std::make_unique<Publication>(
        out_, PublicationOptions{.room_bytes = bytes_of_last_set(out_, config.run.also.any())});
    publication_->say_new_notes(log);
    stages_.begin("look for changes");
    earlier_ = previous_run_in(out_, *publication_);
    published_ = publication_->found_whole() ? publication_->found_run() : "";
    digests_ = input_digests(config);
    reuse_ = std::make_unique<Reuse>(publication_->state_file(), options.full, digests_, out_,
                                     published_);
    if (!options.parts.empty())
        parts_ = open_parts(options.parts, part_origin(config.text_of_map, config.file, digests_),
                            config.file);
}

bool MapRun::is_made() const
{
    return reuse_->is_same_run(published_) &&
           (options_.before ||
            has_also(earlier_.manifest, config_.run.also, config_.treatment, log_));
}

void MapRun::read()
{
    stages_.begin("read inputs");
    progress_.begin({"reading inputs"});
    inputs_ = read_inputs(config_, log_, digests_);
    gate_ = std::make_unique<InputGate>(earlier_, config_,
                                        InputGate::Mode{.accepted = options_.accepted}, log_);
    stop_if_asked();

    stages_.begin("find slopes");
    find_slopes(*inputs_, config_, workers_of(config_.run.jobs, options_.jobs), stop_if_asked,
                reuse_.get());
    say_slopes(*inputs_, config_.stretch, log_);
    gate_->look_at(*inputs_);
    memory_ = plan_memory(*inputs_, config_, options_.jobs, log_);
    progress_.expect(work_of_map(config_.draws(), inputs_->community));
    if (config_.sensitivity)
        progress_.expect(passes_of_trials(config_, inputs_->raster->classes()) * work_of::measure *
                         std::ssize(inputs_->community.structures));
    if (!options_.before)
        progress_.expect(work_of_also(config_.run.also, inputs_->community));
    context_ = std::make_unique<StageContext>(
        StageContext{config_, inputs_->community, *inputs_->raster, memory_.jobs,
                     memory_.tile_cells, progress_, stop_if_asked, reuse_.get()});
}

void MapRun::measure()
{
    progress_.begin({"looking for what can be reused"});
    stages_.begin(parts_.empty() ? "digest what results depend on" : "read the parts");
    if (parts_.empty()) {
        reuse_->look_at(*context_, *inputs_);
        source_ = std::make_unique<ResultSource>(*context_, *reuse_);
    } else {
        source_ = merged_results(*context_, *inputs_, parts_, *reuse_);
    }

    stages_.begin("measure structures");
    measures_ = source_->measures(work_);
    // Unknown codes are perhaps beyond the rings: look closely. Shares may be in another unit.
    if (source_->met_unknown_codes() || config_.inputs.fuel.holds_shares())
        judge_unknown_codes(*inputs_, census_around(*inputs_, config_.rings), config_.inputs.fuel);
    gate_->look_at(measures_);

    stages_.begin("unite neighbourhoods");
    AddedConifers added = source_->unions(measures_, union_counts_, work_);
    warn_of_open_splits(measures_, *inputs_);
    rank();
    rows_ = address_rows(inputs_->community, results_);
    neighbourhoods_ = neighbourhood_rows(inputs_->community, results_, std::move(added),
                                         config_.rings, config_.near.ring, config_.output.rank_by);
    if (config_.uncertainty) {
        stages_.begin("draw registrations");
        draws_ =
            rank_registrations(*config_.uncertainty, config_.output.rank_by, inputs_->community,
                               results_, neighbourhoods_, source_->draws(results_, work_));
        flag_outside(*draws_, results_);
    }
    if (config_.sensitivity) {
        stages_.begin("try other choices");
        sensitivity_ = find_sensitivity(*context_, results_, neighbourhoods_);
    }
}

void MapRun::rank()
{
    const Community& community = inputs_->community;
    results_.resize(measures_.size());
    for (std::size_t i = 0; i < measures_.size(); ++i)
        results_[i].measure = &measures_[i];
    rank_structures(community, inputs_->raster->grid(), config_.rings, config_.output.rank_by,
                    results_);
    flag_field_checked(*inputs_->raster, community, config_.rings.widest_m(), results_);
    if (community.owners)
        flag_neighbours(*community.owners, config_.near.ring, results_);
}

/// Stages here are by the clock of the rasters: tables are written beside them, and only what they
/// take longer is a stage of its own.
void MapRun::write()
{
    MapRasters rasters{publication_->staging(), config_.community_name, config_.inputs.fuel.date,
                       *inputs_->raster, memory_.jobs};
    tables_ = std::make_unique<RunTables>(
        RunTables{inputs_->community, results_, rows_, config_.rings, inputs_->raster->grid(),
                  inputs_->raster->crs(), neighbourhoods_, config_.near.ring,
                  draws_ ? &*draws_ : nullptr, !config_.inputs.fuel.holds_shares()});
    double tables_s = 0;
    neutralised_ = write_tables_beside(publication_->staging(), *tables_, config_.output,
                                       memory_.jobs, progress_, tables_s, [&] {
                                           make_rasters(rasters);
                                           stages_.begin("write tables");
                                           progress_.begin({"writing tables"});
                                       });
    work_[WorkKind::write_tables] += tables_s;
    if (sensitivity_)
        write_sensitivity(publication_->staging(), *tables_, *sensitivity_, config_.output.csv_bom);
}

void MapRun::make_rasters(MapRasters& rasters)
{
    stages_.begin("spread the surface");
    surface_ = source_->surface(results_, rasters.priority, rasters.fuel_used, work_);
    gate_->look_at(surface_, *inputs_);
    stages_.begin("finish the rasters");
    progress_.begin({"finishing the rasters"});
    reuse_->finish_rasters(memory_.jobs, rasters.priority, rasters.fuel_used);
}

nlohmann::json MapRun::manifest(const SinceLastRun& since, const nlohmann::json& basis) const
{
    const ManifestParts parts{
        basis,         config_.near.m, config_.uncertainty,
        *inputs_,      results_,       rows_.size(),
        surface_,      neutralised_,   neighbourhoods_,
        union_counts_, tables_->draws, stages_,
        work_,         memory_,        changes_json(since, *tables_, config_.near.m),
        gate_->json(), source_->told()};
    nlohmann::json manifest = manifest_of(parts);
    manifest["method"] = map_method(parts, config_);
    if (sensitivity_)
        manifest["sensitivity"] = sensitivity_json(*config_.sensitivity, *sensitivity_);
    return manifest;
}

/// `fuel`: of the classification that made the raster; null where none did.
nlohmann::json MapRun::publish(const nlohmann::json& fuel)
{
    stages_.begin("check inputs");
    progress_.begin({"comparing with the last run"});
    const nlohmann::json digests = digests_of(*inputs_);
    require_unchanged(inputs_->files);
    require_remote_unchanged(inputs_->remote);
    gate_->say_warnings(inputs_->warnings);

    stages_.begin("compare with the last run");
    const nlohmann::json basis = basis_of(config_, *inputs_, digests);
    const SinceLastRun since = compare_with_earlier(earlier_, *tables_, method_of(basis));
    std::vector<std::string> files = files_of_map;
    if (sensitivity_)
        append(files, files_of_sensitivity);
    append(files, write_copies(publication_->staging(), config_, inputs_->raster->analysis()));
    append(files, write_changes(publication_->staging(), since, *tables_, config_.output.csv_bom));
    stages_.end();

    nlohmann::json manifest = this->manifest(since, basis);
    if (!fuel.is_null())
        manifest["classify"] = fuel;
    append(files, continue_history(manifest));
    AlsoMade also;
    if (!options_.before)
        also = make_also(*context_, *inputs_, publication_->staging(), files, manifest, log_);
    append(files, also.files);
    warn_of_memory(manifest.at("timings").at("peak_memory_mib"), config_.run.memory_mb, log_);
    progress_.begin(publishing(inputs_->community));
    publication_->commit(manifest, files, SignalWatch::stop_signal);
    keep_state();
    publication_->say_new_notes(log_);
    return say(manifest, since, also);
}

/// Writes history.csv; the names of the files.
std::vector<std::string> MapRun::continue_history(const nlohmann::json& manifest)
{
    const HistoryWritten history =
        write_history(publication_->staging(), earlier_, manifest, neighbourhoods_,
                      config_.near.ring, config_.output);
    if (!history.set_aside.empty()) {
        publication_->set_aside("history.csv");
        log_.warn(fmt::format("{}: {}: the history of earlier runs is not carried on, and starts "
                              "again",
                              (earlier_.path / "history.csv").string(), history.set_aside));
    }
    return history.files;
}

/// What the next run will not have to compute; without it that takes longer, and no more.
void MapRun::keep_state()
{
    if (const std::string failed = reuse_->keep(publication_->run_id(), input_digests(config_));
        !failed.empty())
        log_.warn(fmt::format("{}: the state for the next run could not be written: {}; it will "
                              "compute everything again",
                              publication_->state_file().string(), failed));
}

nlohmann::json MapRun::say(const nlohmann::json& manifest, const SinceLastRun& since,
                           const AlsoMade& also)
{
    if (own_progress_)
        own_progress_->done();
    log_.detail(source_->text());
    gate_->say(log_);
    nlohmann::json summary = summary_of(manifest, out_);
    summary["changes"] = manifest.at("changes");
    say_changes(since, *tables_, config_.near.m, log_);
    if (also.plan)
        say_treatment(*also.plan, config_, log_);
    say_summary(summary, neighbourhoods_, inputs_->warnings, config_.near.m, log_);
    return summary;
}

} // namespace

nlohmann::json run_map(const Config& config, const MapOptions& options, Log& log)
{
    nlohmann::json fuel;
    if (config.run.classify && options.parts.empty())
        fuel = renew_fuel(config, options, log);
    MapRun run{config, options, log}; // holds the output folder
    if (run.is_made())
        return run.made();
    run.read();
    run.measure();
    run.write();
    return run.publish(fuel);
}

} // namespace fuelring
