// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "change/account.hpp"
#include "io/comparison/treatment_tables.hpp"
#include "io/gdal/crs.hpp"
#include "io/run_folder/run_tables_in.hpp"

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
/// It owns nothing: all that it refers to must outlive it.
struct ChangeTables {
    const PastTables& before;
    const PastTables& after;
    const CommonRings& rings;
    const Grid& grid; ///< that frames of both belong to
    const Crs& crs;
    const std::vector<ChangeRow>& rows;
    const std::vector<StructureChange>& structures; ///< largest changes of exposure first
    const char* adjusted_basis = nullptr;           ///< of adjusted rows; none: nothing adjusts
    const TreatmentAccount* treatment = nullptr;    ///< where records were given
    bool ranks_compare = true;                      ///< both runs ranked by the same
};

/// What `change.csv` says of rows that are not adjusted, and of those that are.
inline constexpr const char* mapped_only = "mapped, not adjusted";
inline constexpr const char* adjusted_by_matrix = "mapped, and adjusted by the matrix";
inline constexpr const char* adjusted_by_points = "mapped, and adjusted by reference points";
inline const char* basis_of(const ChangeRow& row, const ChangeTables& tables)
{
    return row.adjusted && tables.adjusted_basis ? tables.adjusted_basis : mapped_only;
}

/// change.csv, and change_by_address.csv: a row for every address or, without one, structure.
/// Throw, as all of these: Error{output}.
/// Units: hectares of the ground in change.csv, square metres in the other; changes are after less
/// before.
void write_change_csv(const std::filesystem::path& path, const ChangeTables& tables, bool bom);
void write_changed_addresses_csv(const std::filesystem::path& path, const ChangeTables& tables,
                                 bool bom);

/// change.gpkg: layers `change_structures` (the columns of change_by_address.csv without the
/// address, a row for every structure, with its outline), `change_areas` (rows of change.csv in
/// full doubles, without shapes) and, where there are records, `treatment_records`.
void write_change_geopackage(const std::filesystem::path& path, const ChangeTables& tables);

/// The columns of the CSV files of a comparison, but for its sample points.
std::vector<FileColumns> comparison_tables();

} // namespace fuelring
