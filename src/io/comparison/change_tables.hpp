// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "change/account.hpp"
#include "io/comparison/treatment_tables.hpp"
#include "io/gdal/crs.hpp"
#include "io/run_folder/run_tables_in.hpp"
#include "io/tables/plain_table.hpp"

#include <filesystem>
#include <vector>

namespace fuelring {

/// What is said of one structure of either run.
struct StructureChange {
    StructureMatch match;
    ExposureChange exposure;
    Direction direction = Direction::unknown;
    std::vector<ChangeArea> within; ///< as OutlineChange::within; empty unless it is in both
};

/// Everything the tables of a comparison are made of.
struct ChangeTables {
    const PastTables& before;
    const PastTables& after;
    const CommonRings& rings;
    const Grid& grid; ///< that frames of both belong to
    const Crs& crs;
    const std::vector<ChangeRow>& rows;
    const std::vector<StructureChange>& structures; ///< largest changes of exposure first
    bool adjusted = false;                          ///< a matrix was given
    const TreatmentAccount* treatment = nullptr;    ///< where records were given
    bool ranks_compare = true;                      ///< both runs ranked by the same
};

/// What `change.csv` says where no matrix was given, and where one was.
inline constexpr const char* mapped_only = "mapped, not adjusted";
inline constexpr const char* mapped_and_adjusted = "mapped, and adjusted by the matrix";

/// change.csv; hectares.
PlainTable change_table(const ChangeTables& tables);
/// Columns of change_by_address.csv, a row for every address or, without one, structure.
PlainTable address_change_table(const ChangeTables& tables);
/// The same columns without the address, a row for every structure, with its outline.
PlainTable structure_change_table(const ChangeTables& tables);

/// change.gpkg: layers `change_structures`, `change_areas` (rows of change.csv in full doubles,
/// without shapes) and, where there are records, `treatment_records`. Throws: Error{output}.
void write_change_geopackage(const std::filesystem::path& path, const ChangeTables& tables);

} // namespace fuelring
