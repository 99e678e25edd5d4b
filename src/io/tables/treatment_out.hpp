// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/digest.hpp"
#include "exposure/community.hpp"
#include "io/gdal/crs.hpp"
#include "io/tables/column.hpp"

#include <fuelring/grid.hpp>

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// One treatment unit as its tables show it.
/// Law: the rows of a plan come by rank, 1 first.
struct UnitRow {
    std::int64_t rank = 0;
    /// Class of the land's owner; "no_parcel" outside all parcels, empty without a layer of them.
    std::string owner;
    std::string neighbourhood;
    std::string method;                  ///< by hand or by machine; empty without costs
    double conifer_m2 = 0;               ///< whole thousandths: sums are made of what is written
    double area_m2 = 0;                  ///< with the open cells that join it
    double residual_share = 0;           ///< of its conifers that stays
    double length_m = 0;                 ///< of a strip, along its line
    std::int64_t year = 0;               ///< in which it is treated
    std::optional<double> slope_percent; ///< mean over its cells; empty where no height is known
    std::optional<double> road_m;        ///< to the nearest road
    std::string parcel{};                ///< its id, where units are parcels
    std::string required{};              ///< "yes": the configuration requires it; else "no"
    std::optional<double> cost;          ///< money in whole cents; all rows have it, or none
    double exposure_removed = 0;         ///< points
    std::int64_t homes_in_reach = 0;     ///< structures with a ring that counts over a treated cell
    Point at;                            ///< in its first cell, analysis CRS
    std::vector<Loop> loops;             ///< corners in columns and rows; the cells to the right
};

/// One row of benefit_curve.csv.
struct CurveRow {
    std::int64_t units = 0;     ///< each row is a plan of its own
    double conifer_ha = 0;      ///< hectares of the ground that are treated
    std::optional<double> cost; ///< as in UnitRow
    double exposure_removed = 0;
    double share_removed = 0;  ///< of the community's exposure
    double most_removable = 0; ///< share that no plan of the same budget can beat
};

/// Exposure of a structure before and after, by structure; empty where it has none.
struct PlannedExposure {
    std::vector<std::optional<double>> before;
    std::vector<std::optional<double>> after;
};

/// Whether tables have a column `cost`.
enum class CostColumn { absent, present };

/// Columns of units that are there only where a plan has use for them.
struct UnitColumns {
    CostColumn cost = CostColumn::absent;
    bool residual = false; ///< thinning differs by owner
    bool required = false; ///< areas are required
    bool year = false;     ///< the work takes several years
    bool strip = false;    ///< units are strips
    bool slope = false;    ///< there is an elevation raster
    bool road = false;     ///< there is a layer of roads
    bool parcel = false;   ///< units are parcels
};

/// One year of a plan. Amounts are in the unit of the budget: money, or hectares of conifers.
struct YearRow {
    std::int64_t year = 0;
    double budget = 0;
    std::int64_t units = 0;
    double conifer_ha = 0;        ///< treated in it
    double cost = 0;              ///< of these units
    double upkeep = 0;            ///< of those treated before
    double exposure_removed = 0;  ///< points, by these units
    double exposure_lower_by = 0; ///< points that stand removed at its end
};

/// What one constraint of a plan costs, in points of exposure.
struct ConstraintRow {
    std::string constraint;    ///< key of the configuration
    std::string name;          ///< which of its entries; empty: all of it
    double points_without = 0; ///< that a plan without it removes
    double points = 0;         ///< by which the plan removes less; not negative
};

/// Text cells are neutralised as in addresses.csv; each is written, fsynced and read back.
/// Throw: Error{output}.
/// `bom` puts the UTF-8 mark in front.
void write_units_csv(const std::filesystem::path& path, const std::vector<UnitRow>& units,
                     const UnitColumns& columns, bool bom);
void write_years_csv(const std::filesystem::path& path, const std::vector<YearRow>& years,
                     bool bom);
void write_constraints_csv(const std::filesystem::path& path,
                           const std::vector<ConstraintRow>& constraints, bool bom);
void write_curve_csv(const std::filesystem::path& path, const std::vector<CurveRow>& curve,
                     CostColumn cost, bool bom);
void write_exposure_csv(const std::filesystem::path& path, const Community& community,
                        const PlannedExposure& change, bool bom);

/// treatment.gpkg with the layers `treatment_units` (polygons of whole cells) and
/// `treatment_exposure` (points). Field names equal the columns; full doubles.
/// `grid`: the one that the loops of units are counted in. Throws: Error{output}.
void write_treatment_gpkg(const std::filesystem::path& path, const std::vector<UnitRow>& units,
                          const UnitColumns& columns, const Community& community,
                          const PlannedExposure& change, const Grid& grid, const Crs& crs);

/// The columns of the layer `treatment_units`, and of the CSV files.
/// All that there can be, `cost` among them.
std::vector<ColumnHead> unit_heads();
std::vector<FileColumns> treatment_tables();

} // namespace fuelring
