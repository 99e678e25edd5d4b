// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "io/run_folder/previous_run.hpp"
#include "io/tables/column.hpp"
#include "io/tables/tables_out.hpp"

#include <nlohmann/json.hpp>

#include <filesystem>
#include <string>
#include <vector>

namespace fuelring {

/// What the planner compares between two runs, rounded as addresses.csv prints it, so that a change
/// is one that the tables show. Empty where the cell of the table is.
struct ComparedFigures {
    std::optional<double> exposure;
    std::optional<std::int64_t> rank;
    std::optional<double> nearest_conifer_m;
    std::optional<double> near_conifer_m2; ///< from the wall to rings.near_m
    double near_unmapped_m2 = 0;
};

/// One structure whose figures are not those of the earlier run.
struct ChangeOfStructure {
    enum class What { changed, appeared, gone };
    What what = What::changed;
    std::size_t structure = 0; ///< index; of a gone one into SinceLastRun::gone
    ComparedFigures before;
    ComparedFigures after;
    bool new_conifer = false;  ///< within rings.near_m, on ground that the earlier run knew
    bool newly_mapped = false; ///< conifers there on ground that it may not have known

    /// Later less earlier exposure in points; empty unless both are known.
    std::optional<double> exposure_change() const;
};

/// A structure of the earlier run that this one lacks.
struct GoneStructure {
    std::string id;
    std::string neighbourhood;
    std::vector<std::string> addresses{};
};

/// What changed since the run that lies in the output folder. A rank that moves because others did
/// is no change.
struct SinceLastRun {
    bool compared = false;                     ///< false: no earlier run, or `why_not`
    std::string why_not{};                     ///< the earlier run could not be compared with
    nlohmann::json since{};                    ///< which run: run_id, generation, finished, imagery
    std::vector<std::string> method_differs{}; ///< what of the configuration is another
    std::vector<ChangeOfStructure> changes{};  ///< largest rise first
    std::vector<GoneStructure> gone{};
    std::int64_t structures = 0; ///< of this run

    // Numbers of structures; rose() and fell() need an exposure in both runs.
    std::int64_t count(ChangeOfStructure::What what) const;
    std::int64_t rose() const;
    std::int64_t fell() const;
    std::int64_t with_new_conifer() const;
};

/// Compares with the earlier run, structure by structure, matched by id. Holds no more of it than
/// the structures that changed. Throws nothing for an earlier run that cannot be read: that is
/// `why_not`.
SinceLastRun compare_with_earlier(const PreviousRun& earlier, const RunTables& tables,
                                  const nlohmann::json& method);

/// Writes changes.csv, a row for each address of a changed structure, where the runs could be
/// compared; the names of the files that it made. Throws: Error{output}.
std::vector<std::string> write_changes(const std::filesystem::path& folder,
                                       const SinceLastRun& since, const RunTables& tables,
                                       bool bom);
/// Columns of changes.csv, for the manual.
FileColumns changes_table();

/// `changes` of run.json; null on a first run.
nlohmann::json changes_json(const SinceLastRun& since, const RunTables& tables, double near_m);

/// One line for people; a warning where the runs could not be compared, nothing on a first run.
void say_changes(const SinceLastRun& since, const RunTables& tables, double near_m, Log& log);

/// With --fail-on-change, where something changed: the outputs are in place.
inline constexpr int exit_code_of_change = 1;

/// True where the summary of a run that was just made tells of a structure that changed.
bool something_changed(const nlohmann::json& summary);

} // namespace fuelring
