// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "io/comparison/change_tables.hpp"
#include "io/comparison/treatment_tables.hpp"
#include "io/run_folder/run_folder.hpp"
#include "run/compare/change_causes.hpp"
#include "run/compare/stage_change.hpp"

#include <nlohmann/json.hpp>

#include <string>
#include <vector>

namespace fuelring {

/// Who takes part in a comparison.
struct ChangeMembers {
    Community outlines; ///< of AFTER, then former outlines of structures that were redrawn
    std::vector<ChangeMember> members;
    std::vector<std::size_t> group;                ///< by member: number of its neighbourhood
    std::vector<std::optional<std::size_t>> place; ///< by match: its member, where it is in both
};

/// Finds the structures of one run in the other, on AFTER's grid: by id and by the ground that
/// their footprints share. Each structure of either run is in exactly one match.
std::vector<StructureMatch> match_tables(const PastTables& before, const PastTables& after,
                                         const Grid& grid);

/// The structures that both runs have, as AFTER draws them; where BEFORE drew one otherwise, or
/// stretched its rings otherwise, that outline too, so that the comparison does not depend on
/// which run is called the first. members[k] belongs to outlines.structures[k].
ChangeMembers members_of(const std::vector<StructureMatch>& matches, const PastTables& before,
                         const PastTables& after);

/// Change of every structure, largest change of exposure first; then the others, in the order of
/// the matches. `changes` is by member. Exposures compare only where rings.same; else their change
/// is empty and the direction unknown.
std::vector<StructureChange> structure_changes(const std::vector<StructureMatch>& matches,
                                               const ChangeMembers& members,
                                               const std::vector<OutlineChange>& changes,
                                               const PastTables& before, const PastTables& after,
                                               const CommonRings& rings);

/// The day of a run's imagery, such as 2026-07-15; empty where its date is no day of the calendar.
std::string imagery_day(const RunFolder& run);

/// The name of the row of all treatments together.
inline constexpr const char* all_treatments = "(all)";

/// Treated polygons on AFTER's grid; what a reader should know of them goes to `notes`:
/// dates outside the two images, overlaps, missing costs. Throws: Error{input}.
TreatmentRecords records_between(const RecordSource& source, const RunFolder& before,
                                 const RunFolder& after, std::vector<std::string>& notes);

/// Sums up what the changes have of the records, and appends the rows of treatments to `rows`.
TreatmentAccount account_of_records(TreatmentRecords records,
                                    const std::vector<ChangeMember>& members,
                                    const std::vector<OutlineChange>& changes,
                                    const CommonRings& rings, std::vector<std::string> kinds,
                                    std::vector<ChangeRow>& rows);

/// For run.json: where the records come from, all of them together, every treatment.
nlohmann::json records_json(const TreatmentAccount& account, const RecordSource& source);
/// For the method note. `widest_m`: of the common distances. `currency`: of costs; empty leaves
/// them out.
std::string records_note(const TreatmentAccount& account, double widest_m,
                         const ChangeCauses& causes, const std::optional<std::string>& currency);

/// Everything that run.json of a comparison says, before the publication adds its own.
struct ChangeManifestParts {
    const RunFolder& before; ///< references: alive until change_manifest returns
    const RunFolder& after;
    bool exact_cells = true; ///< cells of both were compared line by line; else reprojected
    const ChangeTables& tables;
    const CellCounts& cells;
    nlohmann::json matrix;         ///< file and digest, or null
    nlohmann::json reference;      ///< findings_json, with its source; or null
    nlohmann::json records;        ///< records_json, or null
    std::vector<LayerCrs> systems; ///< what came into AFTER's system
    std::vector<std::string> notes;
    const ChangeCauses& causes;
    ByHand hand;
    std::vector<std::string> cause_sentences;
};
/// Of kind "change", so that no reader takes it for a run. Figures that are not known are null.
nlohmann::json change_manifest(const ChangeManifestParts& parts);

/// The last lines of `change` for people: hectares, exposures, what else moved them, the caution,
/// and where the outputs are (`out` of the summary). Says nothing that the summary does not.
void say_change(const nlohmann::json& summary, Log& log);

} // namespace fuelring
