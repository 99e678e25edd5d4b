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

/// Both runs and what they have in common.
struct ChangePair {
    RunFolder before;
    RunFolder after;
    BeforeGrid before_grid;
    CommonRings rings;
    PastTables was;
    PastTables is;
    std::optional<Ownership> owners;         ///< AFTER's parcels
    std::optional<TreatmentRecords> records; ///< on AFTER's grid
    bool ranks_compare = true;
    std::vector<LayerCrs> systems; ///< what came into AFTER's: BEFORE and records
    ChangeCauses causes;
    std::vector<std::string> notes;

    const Grid& grid() const { return after.analysis.grid; }
};

/// Opens both runs, and says what does not compare. Throws: Error{usage, input}.
ChangePair read_pair(const ChangeOptions& options, Log& log);

} // namespace fuelring
