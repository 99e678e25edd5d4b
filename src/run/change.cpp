// SPDX-License-Identifier: Apache-2.0

// Change between two runs, as a paragraph: hold the output folder, open both runs, find the
// structures of one in the other, lay the fuel of both dates over each other around each, sum up,
// write, publish.

#include "run/change.hpp"

#include "io/confusion_csv.hpp"
#include "io/digest.hpp"
#include "run/change_parts.hpp"
#include "run/manifest.hpp"
#include "run/publish.hpp"
#include "run/signals.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <tbb/task_arena.h>

#include <csignal>
#include <optional>

namespace fuelring {

namespace {

const std::vector<std::string> files_of_change{"change.csv", "change_by_address.csv", "change.tif",
                                               "change.gpkg"};

void stop_if_asked()
{
    if (const int signal = SignalWatch::stop_signal())
        throw Error{signal == SIGINT ? Failure::interrupted : Failure::terminated,
                    "stopped by a signal; earlier outputs are untouched"};
}

/// The folder of a run keeps what it has.
void require_own_folder(const std::filesystem::path& out)
{
    if (is_run_folder(out))
        throw Error{Failure::usage, "it is the folder of a run of fuelring map", out.string(),
                    "give --out a folder of its own"};
}

GridRelation relation_between(const RunFolder& before, const RunFolder& after)
{
    if (!before.analysis.crs.same_as(after.analysis.crs))
        throw Error{Failure::input,
                    fmt::format("the runs stand in different systems: {} and {}",
                                before.analysis.crs.name(), after.analysis.crs.name()),
                    before.path.string(),
                    "bring both fuel rasters into one system and run fuelring map again"};
    if (const auto relation = relation_of(after.analysis.grid, before.analysis.grid))
        return *relation;
    throw Error{Failure::input, "the rasters of the runs are turned against each other",
                before.path.string(),
                "bring both fuel rasters onto grids with parallel rows and run fuelring map again"};
}

CommonRings rings_between(const RunFolder& before, const RunFolder& after,
                          std::vector<std::string>& notes)
{
    const std::optional<CommonRings> rings = common_rings(before.rings, after.rings);
    if (!rings)
        throw Error{Failure::input,
                    fmt::format("the runs have no ring distance in common: {} m and {} m",
                                fmt::join(before.rings.outer_m, ", "),
                                fmt::join(after.rings.outer_m, ", ")),
                    before.path.string(), "run fuelring map again with the same rings.outer_m"};
    if (!rings->same)
        notes.push_back(fmt::format("rings or weights of the runs differ: areas are compared at {} "
                                    "m, exposures are not compared",
                                    fmt::join(rings->plan.outer_m, ", ")));
    return *rings;
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
    write_plain_csv(staging / "change.csv", change_table(tables), bom);
    write_plain_csv(staging / "change_by_address.csv", address_change_table(tables), bom);
    write_change_geopackage(staging / "change.gpkg", tables);
}

void say_summary(const nlohmann::json& summary, Log& log)
{
    const auto& widest = summary.at("community_within").back();
    const auto& counts = summary.at("counts");
    log.info(
        fmt::format("conifers within {:g} m of {} structures: {:.2f} ha removed, {:.2f} ha "
                    "regrown, {:.2f} ha unchanged; {:.2f} ha not mapped at both dates ({})",
                    widest.at("within_m").get<double>(),
                    counts.at("structures").at("in_both").get<std::int64_t>(),
                    widest.at("removed_ha").get<double>(), widest.at("regrown_ha").get<double>(),
                    widest.at("unchanged_ha").get<double>(),
                    widest.at("ground_ha").get<double>() - widest.at("compared_ha").get<double>(),
                    widest.at("basis").get<std::string>()));
    const auto& e = counts.at("exposure");
    log.info(fmt::format("exposure fell for {} structures, rose for {}, stayed for {}",
                         e.at("fell").get<std::int64_t>(), e.at("rose").get<std::int64_t>(),
                         e.at("stayed").get<std::int64_t>()));
    log.info(caution);
    log.info(fmt::format("outputs in {}", summary.at("out").get<std::string>()));
}

} // namespace

nlohmann::json run_change(const ChangeOptions& options, Log& log)
{
    require_own_folder(options.out);
    std::optional<ConfusionMatrix> matrix;
    nlohmann::json matrix_source;
    if (!options.matrix.empty()) {
        matrix = read_confusion_matrix(options.matrix, "check --matrix");
        matrix_source = {{"path", options.matrix.string()},
                         {"sha256", digest_of(options.matrix).sha256}};
    }
    StageTimes stages;
    stages.begin("hold the output folder");
    Publication publication{options.out};
    std::size_t said = 0;
    const auto say_notes = [&] {
        for (; said < publication.notes().size(); ++said)
            log.warn(publication.notes()[said]);
    };
    say_notes();

    stages.begin("read the runs");
    const RunFolder before = open_run_folder(options.before);
    const RunFolder after = open_run_folder(options.after);
    const GridRelation relation = relation_between(before, after);
    std::vector<std::string> notes;
    const CommonRings rings = rings_between(before, after, notes);
    for (const std::string& note : notes)
        log.warn(note);
    const PastTables was = read_run_tables(before.file("fuelring.gpkg"), after.analysis);
    const PastTables is = read_run_tables(after.file("fuelring.gpkg"), after.analysis);
    const Grid& grid = after.analysis.grid;
    stop_if_asked();

    stages.begin("match structures");
    const std::vector<StructureMatch> matches = match_tables(was, is, grid);
    const ChangeMembers members = members_of(matches, was, is);
    if (members.members.empty())
        throw Error{Failure::input, "no structure of one run is found in the other",
                    before.path.string(), "give two runs of the same community"};

    stages.begin("compare fuels");
    const int jobs = options.jobs > 0 ? options.jobs : tbb::this_task_arena::max_concurrency();
    Progress progress{log, static_cast<std::int64_t>(members.members.size())};
    const ChangeContext context{members.outlines,
                                members.group,
                                rings,
                                grid,
                                relation,
                                before.file("fuel_used.tif"),
                                after.file("fuel_used.tif"),
                                jobs,
                                progress,
                                stop_if_asked};
    const std::vector<OutlineChange> changes = measure_changes(context);
    std::vector<ChangeRow> rows = change_rows(members.members, changes, rings.plan.outer_m.size());
    if (matrix)
        adjust_rows(rows, *matrix, options.matrix.string());
    const std::vector<StructureChange> structures =
        structure_changes(matches, members, changes, was, is, rings);

    stages.begin("write outputs");
    RasterOut raster{raster_spec(publication.staging(), after, jobs), grid, after.analysis.crs};
    const CellCounts cells =
        write_cell_changes(context, structures_of_both(was, is),
                           std::max(before.rings.widest_m(), after.rings.widest_m()), raster);
    raster.finish();
    const ChangeTables tables{
        was, is, rings, grid, after.analysis.crs, rows, structures, matrix.has_value()};
    write_tables(publication.staging(), tables,
                 after.manifest.at("configuration").value("csv_bom", true));
    require_same_run(before);
    require_same_run(after);

    stages.end();
    nlohmann::json manifest = change_manifest({before, after, tables, cells, matrix_source, notes});
    manifest["timings"] = timings_of(stages, {}, jobs);
    publication.commit(manifest, files_of_change, SignalWatch::stop_signal);
    say_notes();
    progress.done();

    manifest.erase("provenance");
    manifest["out"] = options.out.string();
    say_summary(manifest, log);
    return manifest;
}

} // namespace fuelring
