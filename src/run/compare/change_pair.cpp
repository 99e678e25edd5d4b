// SPDX-License-Identifier: Apache-2.0

// Two runs may differ in grid, system, rings, weights and what they rank by. What can still be
// compared is, what cannot is left empty, and each such thing is said once in the notes. Only two
// runs without a common distance are refused, and operations less accurate than was asked for.
#include "run/compare/change_pair.hpp"

#include "run/compare/change_parts.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace fuelring {

namespace {

/// Exact where it can be, else with a word about what is done.
BeforeGrid grid_between(const RunFolder& before, const RunFolder& after,
                        std::vector<std::string>& notes)
{
    BeforeGrid grid{std::nullopt, before.file(fuel_used_file)};
    const bool same_system = before.analysis.crs.same_as(after.analysis.crs);
    if (same_system)
        grid.relation = relation_of(after.analysis.grid, before.analysis.grid);
    if (!grid.relation)
        notes.push_back(fmt::format(
            "{}: structures and cells of BEFORE were reprojected, corner by corner, and every cell "
            "of AFTER is compared with the parts of cells that lie in it; where a distance cuts a "
            "cell, the mix of its parts counts as even",
            same_system ? std::string{"the rasters of the runs are turned against each other"}
                        : fmt::format("the runs have different coordinate systems ({} and {})",
                                      before.analysis.crs.name(), after.analysis.crs.name())));
    return grid;
}

/// How BEFORE and the records came into AFTER's system. Throws: Error{input} where that is less
/// accurate than asked for.
std::vector<LayerCrs> systems_between(const RunFolder& before, const RunFolder& after,
                                      const std::optional<TreatmentRecords>& records,
                                      double within_m, std::vector<std::string>& notes)
{
    const CoordinateOperation operation =
        Reprojection{before.analysis.crs, after.analysis.crs, after.analysis.area}.operation();
    std::vector<LayerCrs> systems{
        {"BEFORE", before.path.string(), before.analysis.crs,
         fmt::format("BEFORE came into the system of AFTER {}", operation.in_words()), operation}};
    if (records)
        systems.push_back(records->layer);
    for (const LayerCrs& system : systems)
        if (!system.operation.none())
            notes.push_back(system.note);
    Warnings warnings;
    judge_operations(systems, within_m, "--reprojected-within", warnings);
    for (const Warning& warning : warnings)
        notes.push_back(fmt::format("{} ({})", warning.text, fmt::join(warning.examples, "; ")));
    return systems;
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

void judge_order(const RunFolder& before, const RunFolder& after, std::vector<std::string>& notes)
{
    const std::string was = imagery_day(before);
    const std::string is = imagery_day(after);
    if (!was.empty() && !is.empty() && was > is)
        notes.push_back(fmt::format("BEFORE's imagery ({}) is later than AFTER's ({}): what is "
                                    "listed as removed is what grew; give the runs the other way "
                                    "round",
                                    was, is));
}

/// Runs of older versions ranked by exposure.
std::string ranked_by(const RunFolder& run)
{
    return run.manifest.at("configuration").value("rank_by", std::string{"exposure"});
}

bool ranks_between(const RunFolder& before, const RunFolder& after, std::vector<std::string>& notes)
{
    if (ranked_by(before) == ranked_by(after))
        return true;
    notes.push_back(fmt::format("the runs ranked by different figures ({} and {}): rank_change is "
                                "left empty",
                                ranked_by(before), ranked_by(after)));
    return false;
}

} // namespace

ChangePair read_pair(const ChangeOptions& options, Log& log)
{
    RunFolder before = open_run_folder(options.before);
    RunFolder after = open_run_folder(options.after);
    ChangeCauses causes = causes_of(before, after);
    std::vector<std::string> notes;
    BeforeGrid before_grid = grid_between(before, after, notes);
    CommonRings rings = rings_between(before, after, notes);
    const bool ranks = ranks_between(before, after, notes);
    judge_order(before, after, notes);
    std::optional<TreatmentRecords> records;
    if (!options.records.path.empty())
        records = records_between(options.records, before, after, notes);
    std::vector<LayerCrs> systems =
        systems_between(before, after, records, options.reprojected_within_m, notes);
    for (const std::string& note : notes)
        log.warn(note);
    PastTables was = read_run_tables(before.file(tables_file), after.analysis);
    PastTables is = read_run_tables(after.file(tables_file), after.analysis);
    std::optional<Ownership> owners = read_run_parcels(after.file(tables_file), is.structures,
                                                       after.analysis, rings.plan.widest_m());
    return {std::move(before),  std::move(after),   std::move(before_grid),
            std::move(rings),   std::move(was),     std::move(is),
            std::move(owners),  std::move(records), ranks,
            std::move(systems), std::move(causes),  std::move(notes)};
}

} // namespace fuelring
