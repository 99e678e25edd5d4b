// SPDX-License-Identifier: Apache-2.0

// The main job, as a paragraph: hold the output folder and look whether anything changed since the
// run that lies there (run/cache/result_cache.hpp), read the inputs, measure every structure and
// rank, write rasters and tables, publish.

#include "run/map.hpp"

#include "base/program/signals.hpp"
#include "io/run_folder/previous_run.hpp"
#include "run/cache/result_cache.hpp"
#include "run/derived_outputs.hpp"
#include "run/gate/gate.hpp"
#include "run/history/changes.hpp"
#include "run/history/history.hpp"
#include "run/history/method.hpp"
#include "run/inputs/inputs.hpp"
#include "run/inputs/run_memory.hpp"
#include "run/manifest/manifest.hpp"
#include "run/map_outputs.hpp"
#include "run/map_summary.hpp"
#include "run/publish/publish.hpp"
#include "run/publish/publish_set.hpp"
#include "run/shards/merged_results.hpp"
#include "run/stages/result_source.hpp"
#include "run/stages/slopes.hpp"
#include "run/stages/stages.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <memory>
#include <utility>

namespace fuelring {

namespace {

std::vector<StructureResult> ranked(const Inputs& inputs, const Config& config,
                                    const std::vector<StructureMeasure>& measures)
{
    std::vector<StructureResult> results(measures.size());
    for (std::size_t i = 0; i < measures.size(); ++i)
        results[i].measure = &measures[i];
    rank_structures(inputs.community, inputs.raster->grid(), config.rings, config.rank_by, results);
    flag_field_checked(*inputs.raster, inputs.community, config.rings.widest_m(), results);
    if (inputs.community.owners)
        flag_neighbours(*inputs.community.owners, config.near_ring, results);
    return results;
}

/// Structures whose shares by owner are not known; none so far in any test.
std::optional<Warning> open_splits_warning(const Community& community,
                                           const std::vector<StructureMeasure>& measures)
{
    Warning warning{"owner_splits_open", "", 0, {}};
    for (std::size_t i = 0; i < measures.size(); ++i)
        if (measures[i].owners && measures[i].owners->open) {
            ++warning.count;
            if (warning.examples.size() < 5)
                warning.examples.push_back(community.structures[i].id);
        }
    if (warning.count == 0)
        return std::nullopt;
    warning.text = fmt::format("{} structures could not be split by owner: these figures are empty",
                               warning.count);
    return warning;
}

/// Writes history.csv; the names of the files.
std::vector<std::string> continue_history(Publication& publication, const PreviousRun& earlier,
                                          const nlohmann::json& manifest,
                                          const std::vector<NeighbourhoodRow>& neighbourhoods,
                                          const Config& config, Log& log)
{
    const HistoryWritten history =
        write_history(publication.staging(), earlier, manifest, neighbourhoods, config);
    if (!history.set_aside.empty()) {
        publication.set_aside("history.csv");
        log.warn(fmt::format("{}: {}: the history of earlier runs is not carried on, and starts "
                             "again",
                             (earlier.path / "history.csv").string(), history.set_aside));
    }
    return history.files;
}

void append(std::vector<std::string>& files, const std::vector<std::string>& more)
{
    files.insert(files.end(), more.begin(), more.end());
}

/// The summary of the run that lies in the folder, which stays as it is.
nlohmann::json summary_of_same_run(const PreviousRun& same, Log& log)
{
    nlohmann::json summary = summary_of(same.manifest, same.path);
    summary["nothing_changed"] = true;
    for (const nlohmann::json& w : summary.at("warnings"))
        log.warn(Warning{w.at("key"), w.at("text"), w.at("count"), w.at("examples")});
    log.info(fmt::format("nothing changed since the run of {}: {} stays as it is",
                         summary.at("timings").at("finished").get<std::string>(),
                         same.path.string()));
    return summary;
}

/// What the next run will not have to compute; without it that takes longer, and no more.
void keep_state(Reuse& reuse, const Publication& publication, const Config& config, Log& log)
{
    if (const std::string failed = reuse.keep(publication.run_id(), input_digests(config));
        !failed.empty())
        log.warn(fmt::format("{}: the state for the next run could not be written: {}; it will "
                             "compute everything again",
                             publication.state_file().string(), failed));
}

/// A run, from the held folder to the published set. The steps are called once each, in order.
class MapRun {
public:
    MapRun(const Config& config, const MapOptions& options, Log& log);

    /// Whether the folder holds this very run, of the same bytes of everything.
    bool is_made() const;
    nlohmann::json made() const { return summary_of_same_run(earlier_, log_); }

    void read();
    void measure();
    void write();
    nlohmann::json publish();

private:
    void say_notes();
    nlohmann::json manifest(const SinceLastRun& since, const nlohmann::json& basis) const;
    nlohmann::json say(const nlohmann::json& manifest, const SinceLastRun& since,
                       const AlsoMade& also);

    const Config& config_;
    const MapOptions& options_;
    Log& log_;
    StageTimes stages_;
    WorkTimes work_;

    // The held folder, what lies there, and what of it can be reused.
    std::filesystem::path out_;
    std::unique_ptr<Publication> publication_;
    std::size_t notes_said_ = 0;
    PreviousRun earlier_;
    std::string published_; ///< run_id of the set that lies there whole
    InputDigests digests_;
    std::unique_ptr<Reuse> reuse_;
    std::optional<PartSet> parts_;

    // What was read, and how work is cut.
    std::unique_ptr<Inputs> inputs_;
    std::unique_ptr<InputGate> gate_;
    MemoryPlan memory_;
    std::unique_ptr<Progress> progress_;
    std::unique_ptr<StageContext> context_;

    // What was found.
    std::unique_ptr<ResultSource> source_;
    std::vector<StructureMeasure> measures_;
    UnionCounts union_counts_;
    std::vector<StructureResult> results_;
    std::vector<AddressRow> rows_;
    std::vector<NeighbourhoodRow> neighbourhoods_;
    std::optional<RegistrationDraws> draws_;
    SurfaceTotals surface_;
    std::unique_ptr<RunTables> tables_;
    std::int64_t neutralised_ = 0;
};

MapRun::MapRun(const Config& config, const MapOptions& options, Log& log)
    : config_(config), options_(options), log_(log), out_(options.out.value_or(config.out_dir))
{
    stages_.begin("hold the output folder");
    publication_ = std::make_unique<Publication>(
        out_, PublicationOptions{.room_bytes = bytes_of_last_set(out_, config.also.any())});
    say_notes();
    stages_.begin("look for changes");
    earlier_ = previous_run_in(out_, *publication_);
    published_ = publication_->found_whole() ? publication_->found_run() : "";
    digests_ = input_digests(config);
    reuse_ = std::make_unique<Reuse>(publication_->state_file(), options.full, digests_, out_,
                                     published_);
    if (!options.parts.empty())
        parts_.emplace(options.parts, part_origin(config, digests_), config.file);
}

bool MapRun::is_made() const
{
    return reuse_->is_same_run(published_) &&
           (options_.plain || has_also(earlier_.manifest, config_, log_));
}

void MapRun::say_notes()
{
    for (; notes_said_ < publication_->notes().size(); ++notes_said_)
        log_.warn(publication_->notes()[notes_said_]);
}

void MapRun::read()
{
    stages_.begin("read inputs");
    inputs_ = read_inputs(config_, log_, digests_);
    gate_ = std::make_unique<InputGate>(earlier_, config_,
                                        InputGate::Mode{.accepted = options_.accepted}, log_);
    stop_if_asked();

    stages_.begin("find slopes");
    find_slopes(*inputs_, config_, workers_of(config_, options_.jobs), stop_if_asked, reuse_.get());
    say_slopes(*inputs_, config_, log_);
    gate_->look_at(*inputs_);
    memory_ = plan_memory(*inputs_, config_, options_.jobs, log_);
    progress_ = std::make_unique<Progress>(log_, work_units(config_, inputs_->community));
    context_ = std::make_unique<StageContext>(
        StageContext{config_, inputs_->community, *inputs_->raster, memory_.jobs,
                     memory_.tile_cells, *progress_, stop_if_asked, nullptr, reuse_.get()});
}

void MapRun::measure()
{
    stages_.begin(parts_ ? "read the parts" : "digest what results depend on");
    source_ = parts_ ? merged_results(*context_, *inputs_, *parts_, *reuse_)
                     : computed_results(*context_, *inputs_, *reuse_);

    stages_.begin("measure structures");
    measures_ = source_->measures(work_);
    if (source_->met_unknown_codes()) // perhaps beyond the rings: look closely
        judge_unknown_codes(*inputs_, census_around(*inputs_, config_.rings), config_);
    gate_->look_at(measures_);

    stages_.begin("unite neighbourhoods");
    AddedConifers added = source_->unions(measures_, union_counts_, work_);
    if (auto open = open_splits_warning(inputs_->community, measures_))
        inputs_->warnings.push_back(std::move(*open));
    results_ = ranked(*inputs_, config_, measures_);
    rows_ = address_rows(inputs_->community, results_);
    neighbourhoods_ = neighbourhood_rows(inputs_->community, results_, std::move(added),
                                         config_.rings, config_.near_ring, config_.rank_by);
    if (config_.uncertainty) {
        stages_.begin("draw registrations");
        draws_ = rank_registrations(config_, inputs_->community, results_, neighbourhoods_,
                                    source_->draws(results_, work_));
    }
}

void MapRun::write()
{
    stages_.begin("spread the surface");
    MapRasters rasters{publication_->staging(), config_, *inputs_->raster, memory_.jobs};
    surface_ = source_->surface(results_, rasters.priority, rasters.fuel_used, work_);
    gate_->look_at(surface_, *inputs_);

    stages_.begin("write outputs");
    tables_ = std::make_unique<RunTables>(RunTables{
        inputs_->community, results_, rows_, config_.rings, inputs_->raster->grid(),
        inputs_->raster->crs(), neighbourhoods_, config_.near_ring, draws_ ? &*draws_ : nullptr});
    neutralised_ = write_outputs(publication_->staging(), *tables_, config_, memory_.jobs, rasters,
                                 *progress_);
}

nlohmann::json MapRun::manifest(const SinceLastRun& since, const nlohmann::json& basis) const
{
    return manifest_of({basis, config_, *inputs_, results_, rows_.size(), surface_, neutralised_,
                        neighbourhoods_, union_counts_, tables_->draws, stages_, work_, memory_,
                        changes_json(since, *tables_, config_.near_m), gate_->json(),
                        source_->told()});
}

nlohmann::json MapRun::publish()
{
    stages_.begin("check inputs");
    nlohmann::json digests = digests_of(inputs_->files);
    digests.update(remote_inputs_json(inputs_->remote));
    require_unchanged(inputs_->files);
    require_remote_unchanged(inputs_->remote);
    gate_->say_warnings(inputs_->warnings);

    stages_.begin("compare with the last run");
    const nlohmann::json basis = basis_of(config_, *inputs_, digests);
    const SinceLastRun since = compare_with_earlier(earlier_, *tables_, method_of(basis));
    std::vector<std::string> files = files_of_map;
    append(files, write_changes(publication_->staging(), since, *tables_, config_));
    stages_.end();

    nlohmann::json manifest = this->manifest(since, basis);
    append(files,
           continue_history(*publication_, earlier_, manifest, neighbourhoods_, config_, log_));
    AlsoMade also;
    if (!options_.plain)
        also = make_also(*context_, *inputs_, publication_->staging(), files, manifest, log_);
    append(files, also.files);
    warn_of_memory(manifest.at("timings").at("peak_memory_mib"), config_, log_);
    publication_->commit(manifest, files, SignalWatch::stop_signal);
    keep_state(*reuse_, *publication_, config_, log_);
    say_notes();
    return say(manifest, since, also);
}

nlohmann::json MapRun::say(const nlohmann::json& manifest, const SinceLastRun& since,
                           const AlsoMade& also)
{
    progress_->done();
    log_.detail(source_->text());
    gate_->say(log_);
    nlohmann::json summary = summary_of(manifest, out_);
    summary["changes"] = manifest.at("changes");
    say_changes(since, *tables_, config_.near_m, log_);
    say_also(also, config_, log_);
    say_summary(summary, neighbourhoods_, inputs_->warnings, config_.near_m, log_);
    return summary;
}

} // namespace

nlohmann::json run_map(const Config& config, const MapOptions& options, Log& log)
{
    MapRun run{config, options, log}; // holds the output folder
    if (run.is_made())
        return run.made();
    run.read();
    run.measure();
    run.write();
    return run.publish();
}

} // namespace fuelring
