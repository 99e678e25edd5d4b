// SPDX-License-Identifier: Apache-2.0

// The main job, as a paragraph: hold the output folder, look whether anything changed since the run
// that lies there (run/cache/result_cache.hpp), read the inputs, measure every structure,
// rank, spread the surface, write the tables, publish.

#include "run/map.hpp"

#include "base/program/signals.hpp"
#include "io/cog/cog_writer.hpp"
#include "io/tables/tables_out.hpp"
#include "run/cache/result_cache.hpp"
#include "run/derived_outputs.hpp"
#include "run/gate/gate.hpp"
#include "run/history/changes.hpp"
#include "run/history/history.hpp"
#include "run/history/previous_run.hpp"
#include "run/inputs/inputs.hpp"
#include "run/inputs/run_memory.hpp"
#include "run/manifest/manifest.hpp"
#include "run/map_summary.hpp"
#include "run/publish/publish.hpp"
#include "run/publish/publish_set.hpp"
#include "run/schedule/parallel.hpp"
#include "run/shards/merged_results.hpp"
#include "run/stages/result_source.hpp"
#include "run/stages/slopes.hpp"
#include "run/stages/stages.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

/// What every run writes; changes.csv comes with a run after a run.
const std::vector<std::string> files_of_map{
    "priority.tif",        "fuel_used.tif",      "addresses.csv", "addresses.csvt",
    "neighbourhoods.csvt", "neighbourhoods.csv", "fuelring.gpkg"};

/// What the outputs took last time is the best guess of the room they need.
std::uint64_t bytes_of_last_set(const std::filesystem::path& out, bool with_others)
{
    std::uint64_t sum = 0;
    std::vector<std::string> names = files_of_map;
    if (with_others)
        for (const auto& [name, digest] : read_set(out).files)
            if (std::find(names.begin(), names.end(), name) == names.end())
                names.push_back(name);
    for (const std::string& name : names) {
        std::error_code error;
        const auto size = std::filesystem::file_size(out / name, error);
        sum += error ? 0 : size;
    }
    return sum;
}

RasterOutSpec surface_spec(const std::filesystem::path& staging, const Config& config, int jobs)
{
    return {staging / "priority.tif",
            RasterOutSpec::Kind::surface,
            {"exposure points saved by clearing the cell"},
            {{"COMMUNITY", config.community_name},
             {"IMAGERY_DATE", config.fuel.date},
             {"VALUE", "percentage points by which clearing the conifers of the cell lowers the "
                       "exposure of all structures together"},
             {"CAUTION", caution}},
            jobs};
}

RasterOutSpec fuel_spec(const std::filesystem::path& staging, const Config& config, int jobs)
{
    return {staging / "fuel_used.tif",
            RasterOutSpec::Kind::fuel_used,
            {"conifer share in ten-thousandths", "fuel group"},
            {{"COMMUNITY", config.community_name},
             {"IMAGERY_DATE", config.fuel.date},
             {"GROUPS", "1 conifer, 2 mixed, 3 broadleaved, 4 grass, 5 shrub, 6 built, 7 water, "
                        "8 bare, 9 unmapped; 65535 beyond the widest ring"}},
            jobs};
}

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

/// Finishes the rasters and writes the tables side by side; the number of neutralised text cells.
std::int64_t write_outputs(const std::filesystem::path& staging, const RunTables& tables,
                           const Config& config, int jobs, RasterOut& priority,
                           RasterOut& fuel_used, Progress& progress)
{
    std::int64_t neutralised = 0;
    const auto write_tables = [&] {
        write_geopackage(staging / "fuelring.gpkg", tables, config.ring_outlines,
                         [&](std::int64_t rows) { progress.advance(work_of::write_row * rows); });
    };
    run_in_parallel(jobs, {[&] { priority.finish(); }, write_tables, [&] { fuel_used.finish(); },
                           [&] {
                               neutralised = write_addresses_csv(staging / "addresses.csv", tables,
                                                                 config.csv_bom);
                           }});
    return neutralised +
           write_neighbourhoods_csv(staging / "neighbourhoods.csv", tables, config.csv_bom);
}

/// Writes history.csv; the names of the files.
std::vector<std::string> continue_history(Publication& publication, const EarlierSet& earlier,
                                          const nlohmann::json& manifest,
                                          const std::vector<NeighbourhoodRow>& neighbourhoods,
                                          const Config& config, Log& log)
{
    const HistoryWritten history =
        write_history(publication.staging(), earlier, manifest, neighbourhoods, config);
    if (!history.set_aside.empty()) {
        publication.set_aside("history.csv");
        log.warn(fmt::format("{}: {}: the history of earlier runs is not carried on, and begins "
                             "anew",
                             (earlier.folder / "history.csv").string(), history.set_aside));
    }
    return history.files;
}

void append(std::vector<std::string>& files, const std::vector<std::string>& more)
{
    files.insert(files.end(), more.begin(), more.end());
}

/// The summary of the run that lies in `out`, which stays as it is.
nlohmann::json summary_of_same_run(const std::filesystem::path& out, Log& log)
{
    nlohmann::json summary = summary_of(read_manifest(out), out);
    summary["nothing_changed"] = true;
    for (const nlohmann::json& w : summary.at("warnings"))
        log.warn(Warning{w.at("key"), w.at("text"), w.at("count"), w.at("examples")});
    log.info(fmt::format("nothing changed since the run of {}: {} stays as it is",
                         summary.at("timings").at("finished").get<std::string>(), out.string()));
    return summary;
}

/// What the next run will not have to compute; without it that takes longer, and no more.
void keep_state(Reuse& reuse, const Publication& publication, const Config& config, Log& log)
{
    if (const std::string failed = reuse.keep(publication.run_id(), input_digests(config));
        !failed.empty())
        log.warn(fmt::format("{}: the state for the next run could not be written: {}; it will "
                             "compute everything anew",
                             publication.state_file().string(), failed));
}

} // namespace

nlohmann::json run_map(const Config& config, const MapOptions& options, Log& log)
{
    const std::filesystem::path out = options.out.value_or(config.out_dir);
    StageTimes stages;
    WorkTimes work;

    stages.begin("hold the output folder");
    Publication publication{out, {.room_bytes = bytes_of_last_set(out, config.also.any())}};
    std::size_t notes_said = 0;
    const auto say_notes = [&] {
        for (; notes_said < publication.notes().size(); ++notes_said)
            log.warn(publication.notes()[notes_said]);
    };
    say_notes();

    stages.begin("look for changes");
    const EarlierSet earlier = look_at_earlier_set(out, publication);
    const std::string published = publication.found_whole() ? publication.found_run() : "";
    const InputDigests input_digests_now = input_digests(config);
    Reuse reuse{publication.state_file(), options.full, input_digests_now, out, published};
    std::optional<PartSet> parts;
    if (!options.parts.empty())
        parts.emplace(options.parts, part_origin(config, input_digests_now), config.file);
    if (reuse.is_same_run(published) && (options.plain || has_also(earlier.manifest, config, log)))
        return summary_of_same_run(out, log);

    stages.begin("read inputs");
    const std::unique_ptr<Inputs> inputs = read_inputs(config, log, input_digests_now);
    InputGate gate{out, config, {.accepted = options.accepted}, log};
    stop_if_asked();

    stages.begin("find slopes");
    find_slopes(*inputs, config, workers_of(config, options.jobs), stop_if_asked, &reuse);
    say_slopes(*inputs, config, log);
    gate.look_at(*inputs);
    const MemoryPlan memory = plan_memory(*inputs, config, options.jobs, log);
    const int jobs = memory.jobs;

    Progress progress{log, work_units(config, inputs->community)};
    const StageContext context{config,        inputs->community, *inputs->raster,
                               jobs,          memory.tile_cells, progress,
                               stop_if_asked, nullptr,           &reuse};

    stages.begin(parts ? "read the parts" : "digest what results depend on");
    const std::unique_ptr<ResultSource> source =
        parts ? merged_results(context, *inputs, *parts, reuse)
              : computed_results(context, *inputs, reuse);

    stages.begin("measure structures");
    const std::vector<StructureMeasure> measures = source->measures(work);
    if (source->met_unknown_codes()) // perhaps beyond the rings: look closely
        judge_unknown_codes(*inputs, census_around(*inputs, config.rings), config);
    gate.look_at(measures);

    stages.begin("unite neighbourhoods");
    UnionCounts union_counts;
    AddedConifers added = source->unions(measures, union_counts, work);
    if (auto open = open_splits_warning(inputs->community, measures))
        inputs->warnings.push_back(std::move(*open));
    const std::vector<StructureResult> results = ranked(*inputs, config, measures);
    const std::vector<AddressRow> rows = address_rows(inputs->community, results);
    const std::vector<NeighbourhoodRow> neighbourhoods =
        neighbourhood_rows(inputs->community, results, std::exchange(added, {}), config.rings,
                           config.near_ring, config.rank_by);

    std::optional<RegistrationDraws> draws;
    if (config.uncertainty) {
        stages.begin("draw registrations");
        draws = rank_registrations(config, inputs->community, results, neighbourhoods,
                                   source->draws(results, work));
    }

    stages.begin("spread the surface");
    const Grid& grid = inputs->raster->grid();
    const Crs& crs = inputs->raster->crs();
    RasterOut priority{surface_spec(publication.staging(), config, jobs), grid, crs};
    RasterOut fuel_used{fuel_spec(publication.staging(), config, jobs), grid, crs};
    const SurfaceTotals surface = source->surface(results, priority, fuel_used, work);
    gate.look_at(surface, *inputs);

    stages.begin("write outputs");
    const RunTables tables{inputs->community,
                           results,
                           rows,
                           config.rings,
                           grid,
                           crs,
                           neighbourhoods,
                           config.near_ring,
                           draws ? &*draws : nullptr};
    const std::int64_t neutralised =
        write_outputs(publication.staging(), tables, config, jobs, priority, fuel_used, progress);

    stages.begin("check inputs");
    nlohmann::json digests = digests_of(inputs->files);
    digests.update(remote_inputs_json(inputs->remote));
    require_unchanged(inputs->files);
    require_remote_unchanged(inputs->remote);
    gate.say_warnings(inputs->warnings);

    nlohmann::json manifest =
        manifest_of({config, *inputs, digests, results, rows.size(), surface, neutralised, jobs,
                     neighbourhoods, union_counts, draws ? &*draws : nullptr});
    stages.begin("compare with the last run");
    const SinceLastRun since = compare_with_earlier(earlier, tables, method_of(manifest));
    manifest["changes"] = changes_json(since, tables, config.near_m);
    std::vector<std::string> files = files_of_map;
    append(files, write_changes(publication.staging(), since, tables, config));

    stages.end();
    manifest["timings"] = timings_of(stages, work, jobs);
    append(files, continue_history(publication, earlier, manifest, neighbourhoods, config, log));
    manifest["timings"]["planned_memory_mb"] = std::round(memory.bytes / 1e6);
    manifest["timings"]["limits"] = limits_json(memory);
    source->tell(manifest);
    manifest["gate"] = gate.json();
    AlsoMade also;
    if (!options.plain)
        also = make_also(context, *inputs, publication.staging(), files, manifest, log);
    append(files, also.files);
    warn_of_memory(manifest.at("timings").at("peak_memory_mib"), config, log);
    publication.commit(manifest, files, SignalWatch::stop_signal);
    keep_state(reuse, publication, config, log);
    say_notes();
    progress.done();
    log.info(source->text());
    gate.say(log);

    nlohmann::json summary = summary_of(manifest, out);
    summary["changes"] = manifest.at("changes");
    say_changes(since, tables, config.near_m, log);
    say_also(also, config, log);
    say_summary(summary, neighbourhoods, inputs->warnings, config.near_m, log);
    return summary;
}

} // namespace fuelring
