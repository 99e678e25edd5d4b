// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/comparison/treatment_records_in.hpp"
#include "io/tables/column.hpp"

#include <fuelring/grid.hpp>
#include <fuelring/measure.hpp>

#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// Records with what the rasters say of their ground.
struct TreatmentAccount {
    TreatmentRecords records;
    std::vector<TreatedSum> sums;   ///< by group
    std::vector<std::string> kinds; ///< of owners; empty without parcels
};

/// Sum of the costs of a group; empty where one of its records names none.
/// Also empty for a group without records.
std::optional<double> cost_of(const RecordGroup& group, const TreatmentRecords& records);

/// treatment_records.csv, and the layer of that name: a row for every record, then for every
/// treatment, then for all; money as the file has it. Only records have shapes. `plan`: the common
/// distances. Throw: Error{output}.
void write_treatment_records_csv(const std::filesystem::path& path, const TreatmentAccount& account,
                                 const RingPlan& plan, bool bom);
void add_treatment_records(GpkgFile& file, const TreatmentAccount& account, const RingPlan& plan,
                           const Grid& grid);
std::vector<ColumnHead> treatment_record_heads();

} // namespace fuelring
