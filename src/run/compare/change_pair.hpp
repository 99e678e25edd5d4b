// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "change/account.hpp"
#include "io/comparison/treatment_records_in.hpp"
#include "io/run_folder/run_folder.hpp"
#include "io/run_folder/run_tables_in.hpp"
#include "run/compare/change_causes.hpp"
#include "run/compare/change_options.hpp"
#include "run/compare/compared_fuel.hpp"

#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// Both runs and what they have in common. All places are on AFTER's grid, in its system; what came
/// from BEFORE was brought there.
struct ChangePair {
    RunFolder before;
    RunFolder after;
    BeforeGrid before_grid;
    CommonRings rings;
    PastTables was;                          ///< BEFORE's structures and figures
    PastTables is;                           ///< AFTER's
    std::optional<Ownership> owners;         ///< AFTER's parcels
    std::optional<TreatmentRecords> records; ///< on AFTER's grid
    bool ranks_compare = true;               ///< false: the runs ranked by different figures
    std::vector<LayerCrs> systems;           ///< what came into AFTER's: BEFORE and records
    ChangeCauses causes;
    std::vector<std::string> notes; ///< what does not compare, a sentence each; already warned of

    const Grid& grid() const { return after.analysis.grid; }
};

/// Opens both runs, and warns of what does not compare.
/// Throws: Error{usage, input}; of input where the runs have no distance in common, or where an
/// operation between their systems is less accurate than options.reprojected_within_m.
ChangePair read_pair(const ChangeOptions& options, Log& log);

} // namespace fuelring
