// SPDX-License-Identifier: Apache-2.0

// Change between two runs, as a paragraph: hold the output folder, open both runs, find the
// structures of one in the other, lay the fuel of both dates over each other around each, sum up,
// write, publish.

#include "run/change.hpp"

#include "base/program/durable_file.hpp"
#include "base/program/signals.hpp"
#include "io/geopackage/raster_style.hpp"
#include "run/compare/change_pair.hpp"
#include "run/compare/change_parts.hpp"
#include "run/compare/reference.hpp"
#include "run/manifest/manifest.hpp"
#include "run/publish/publish.hpp"
#include "run/schedule/cgroup_limits.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <tbb/task_arena.h>

#include <algorithm>
#include <optional>
#include <utility>

namespace fuelring {

namespace {

std::vector<std::string> files_of_change(const ChangeOptions& options)
{
    std::vector<std::string> files{"change.csv",
                                   "change.csvt",
                                   "change_by_address.csv",
                                   "change_by_address.csvt",
                                   "change.tif",
                                   "change.qml",
                                   "change.gpkg"};
    if (!options.records.path.empty())
        files.insert(files.end(), {"treatment_records.csv", "treatment_records.csvt"});
    if (options.sample.se != 0)
        files.insert(files.end(), {"sample_points.csv", "sample_points.csvt"});
    if (options.draw.points > 0)
        files.emplace_back(reference_points_file);
    if (!options.points.empty() || !options.matrix.empty())
        files.insert(files.end(), {"change_accuracy.csv", "change_accuracy.csvt"});
    return files;
}

/// The folder of a run keeps what it has.
void require_own_folder(const std::filesystem::path& out)
{
    if (is_run_folder(out))
        throw Error{Failure::usage, "it is the folder of a run of fuelring map", out.string(),
                    "give --out a folder of its own"};
}

/// Everything either run reached, on AFTER's grid.
Community structures_of_both(const PastTables& before, const PastTables& after)
{
    Community both;
    both.structures = after.structures;
    both.structures.insert(both.structures.end(), before.structures.begin(),
                           before.structures.end());
    return both;
}

RasterOutSpec raster_spec(const std::filesystem::path& staging, const RunFolder& after, int jobs)
{
    return {staging / "change.tif",
            RasterOutSpec::Kind::fuel_used,
            {"class of change", "change of conifer share, ten-thousandths plus 10000"},
            {{"COMMUNITY", after.manifest.value("community", std::string{})},
             {"CLASSES", "1 removed, 2 regrown, 3 unchanged, 4 no conifer, 5 unmapped at either "
                         "date, 6 reached by one run only; 65535 reached by neither"},
             {"CAUTION", caution}},
            jobs};
}

void write_tables(const std::filesystem::path& staging, const ChangeTables& tables, bool bom)
{
    write_change_csv(staging / "change.csv", tables, bom);
    write_changed_addresses_csv(staging / "change_by_address.csv", tables, bom);
    if (tables.treatment)
        write_treatment_records_csv(staging / "treatment_records.csv", *tables.treatment,
                                    tables.rings.plan, bom);
    write_durably(staging / "change.qml", change_style());
    write_change_geopackage(staging / "change.gpkg", tables);
}

/// What was found, ready to be written.
struct Account {
    std::vector<ChangeRow> rows;
    std::vector<StructureChange> structures;
    CellCounts cells;
    std::optional<TreatmentAccount> treatment;
    std::vector<std::string> notes;
    ReferenceOutcome reference;
};

std::vector<std::string> notes_on(const std::vector<OutlineChange>& changes)
{
    const auto open = std::count_if(changes.begin(), changes.end(),
                                    [](const OutlineChange& c) { return c.open; });
    if (open == 0)
        return {};
    return {fmt::format("around {} {} the land could not be divided along the borders of "
                        "parcels or records: values that depend on it are left empty",
                        open, open == 1 ? "structure" : "structures")};
}

/// Compares and writes change.tif on the way.
Account compare(const ChangePair& pair, const Reference& reference, const ChangeOptions& options,
                const std::filesystem::path& staging, Progress& progress, Log& log)
{
    const std::vector<StructureMatch> matches = match_tables(pair.was, pair.is, pair.grid());
    const ChangeMembers members = members_of(matches, pair.was, pair.is);
    if (members.members.empty())
        throw Error{Failure::input, "no structure of one run is found in the other",
                    pair.before.path.string(), "give two runs of the same community"};
    const int jobs = options.jobs > 0
                         ? options.jobs
                         : default_workers(tbb::this_task_arena::max_concurrency(), group_bounds());
    progress.expect(work_of_change(members.outlines) + std::ssize(members.members) / 4);
    const TreatedGround none;
    const ChangeContext context{members.outlines,
                                members.group,
                                pair.rings,
                                pair.after.analysis,
                                pair.before_grid,
                                pair.owners,
                                pair.records ? pair.records->ground : none,
                                pair.after.file(fuel_used_file),
                                asks_for_classes(options),
                                jobs,
                                progress,
                                stop_if_asked};
    const std::vector<OutlineChange> changes = measure_changes(context);
    Account account;
    account.notes = notes_on(changes);
    const auto kinds = pair.owners ? pair.owners->kinds() : std::vector<std::string>{};
    account.rows = change_rows(members.members, changes, pair.rings.plan.outer_m.size(), kinds);
    if (pair.records)
        account.treatment = account_of_records(*pair.records, members.members, changes, pair.rings,
                                               kinds, account.rows);
    account.reference = refer(context, pair, members, reference, options, account.rows);
    account.notes.insert(account.notes.end(), account.reference.notes.begin(),
                         account.reference.notes.end());
    for (const std::string& note : account.notes)
        log.warn(note);
    account.structures =
        structure_changes(matches, members, changes, pair.was, pair.is, pair.rings);
    RasterOut raster{raster_spec(staging, pair.after, jobs), pair.grid(), pair.after.analysis.crs};
    account.cells = write_cell_changes(
        context, structures_of_both(pair.was, pair.is),
        std::max(pair.before.rings.widest_m(), pair.after.rings.widest_m()), raster);
    raster.finish();
    progress.begin({.doing = "writing tables", .work = std::ssize(members.members) / 4});
    return account;
}

/// Ground of a cell of a run's raster, by the scale at AFTER's first structure; where the systems
/// differ, of the map, which is more in all systems that enlarge.
double cell_m2(const RunFolder& run, const ChangePair& pair)
{
    const Grid& grid = run.analysis.grid;
    const double map_m2 = grid.cell_width_m() * grid.cell_height_m();
    return run.analysis.crs.same_as(pair.after.analysis.crs)
               ? map_m2 / run.analysis.ground.at(pair.is.structures.front().inside).areal()
               : map_m2;
}

/// run.json of the comparison. Warns of what the difference may come from besides the ground.
nlohmann::json explained(const ChangePair& pair, const Account& account, const ChangeTables& tables,
                         const ChangeOptions& options, Log& log)
{
    const ChangeArea& widest = widest_row(account.rows).area;
    const ByHand hand =
        by_hand(pair.causes, widest, cell_m2(pair.before, pair), cell_m2(pair.after, pair));
    const std::vector<std::string> causes =
        cause_sentences(pair.causes, widest, pair.rings.plan.widest_m(), hand);
    for (const std::string& cause : causes)
        log.warn(cause);
    std::vector<std::string> remarks = causes;
    remarks.insert(remarks.end(), pair.notes.begin(), pair.notes.end());
    remarks.insert(remarks.end(), account.notes.begin(), account.notes.end());
    return change_manifest(
        {pair.before, pair.after, pair.before_grid.relation.has_value(), tables, account.cells,
         options.matrix.empty() ? nlohmann::json() : source_of(options.matrix),
         reference_json(account.reference, options),
         account.treatment ? records_json(*account.treatment, options.records) : nlohmann::json(),
         pair.systems, std::move(remarks), pair.causes, hand, causes});
}

nlohmann::json change_of(const ChangeOptions& options, Log& log)
{
    require_own_folder(options.out);
    const bool plan_sample = options.sample.se != 0;
    if (plan_sample)
        expected_accuracies(options.sample); // before anything is done
    std::optional<ConfusionMatrix> matrix = read_matrix(options.matrix);
    Progress progress{log};
    progress.begin({"reading the runs"});
    StageTimes stages;
    stages.begin("hold the output folder");
    Publication publication{options.out};
    publication.say_new_notes(log);
    require_judgements_kept(options.out, options);

    stages.begin("read the runs");
    const ChangePair pair = read_pair(options, log);
    const Reference reference = read_reference(std::move(matrix), pair, options);
    stop_if_asked();

    stages.begin("compare");
    const Account account = compare(pair, reference, options, publication.staging(), progress, log);

    stages.begin("write outputs");
    const ChangeTables tables{pair.was,
                              pair.is,
                              pair.rings,
                              pair.grid(),
                              pair.after.analysis.crs,
                              account.rows,
                              account.structures,
                              account.reference.basis(),
                              account.treatment ? &*account.treatment : nullptr,
                              pair.ranks_compare};
    const bool bom = pair.after.manifest.at("configuration").value("csv_bom", true);
    write_tables(publication.staging(), tables, bom);
    write_reference(publication.staging(), pair, account.reference, bom);
    require_same_run(pair.before);
    require_same_run(pair.after);

    nlohmann::json manifest = explained(pair, account, tables, options, log);
    stages.end();
    if (plan_sample)
        manifest["sample"] =
            write_sample_points(publication.staging() / "sample_points.csv",
                                widest_row(account.rows).area.class_m2, options.sample, bom);
    if (options.draw.points > 0)
        manifest["drawn"] = drawn_json(account.reference, options.draw);
    manifest["timings"] = timings_of(stages, {}, options.jobs);
    publication.commit(manifest, files_of_change(options), SignalWatch::stop_signal);
    publication.say_new_notes(log);
    progress.done();

    manifest.erase("provenance");
    manifest["out"] = options.out.string();
    say_change(manifest, log);
    return manifest;
}

} // namespace

nlohmann::json run_change(const ChangeOptions& options, Log& log)
{
    try {
        return change_of(options, log);
    } catch (const nlohmann::json::exception& e) {
        throw not_as_written(e, options.after);
    }
}

} // namespace fuelring
