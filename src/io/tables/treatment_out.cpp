// SPDX-License-Identifier: Apache-2.0

// Tables of a plan. CSV and GeoPackage share their columns; the CSV of units and that of
// the curve have the caution as one more, in every row.
#include "io/tables/treatment_out.hpp"

#include "base/caution.hpp"
#include "io/geopackage/footprint_wkb.hpp"
#include "io/geopackage/gpkg_file.hpp"
#include "io/tables/csv_table.hpp"

#include <algorithm>

namespace fuelring {

namespace {

/// The last column of a plan's CSV files, which have no metadata: rows that are copied from them
/// keep their caution.
template <typename Row>
std::vector<Column<Row>> with_note(std::vector<Column<Row>> columns)
{
    using namespace unit;
    columns.push_back(
        {"note", "Note", none, [](const Row&) { return plan_caution(); },
         "the caution, in every row: a CSV has no metadata, and copied rows keep it"});
    return columns;
}

template <typename Row>
ColumnGroup<Row> cost_column(CostColumn cost)
{
    using namespace unit;
    return {when(cost == CostColumn::present),
            {{"cost", "Cost", money, &Row::cost,
              "money with the fixed cost, rounded up to the cent; no such column without costs"}}};
}

/// In the CSV and in the GeoPackage.
std::vector<Column<UnitRow>> unit_columns(const UnitColumns& there)
{
    using namespace unit;
    using R = UnitRow;
    return laid_out<R>({
        {when(true),
         {{"rank", "Rank", none, &R::rank,
           "1 removes the most exposure for its cost (for its hectares, if the budget is "
           "hectares)"},
          {"owner", "Owner", none, &R::owner,
           "whose land, where, by hand or machine; owner is `no_parcel` outside the parcels, empty "
           "without a parcel layer; method is empty without costs"},
          {"neighbourhood", "Neighbourhood", none, &R::neighbourhood},
          {"method", "Method", none, &R::method},
          {"conifer_m2", "Conifer", m2, &R::conifer_m2,
           "conifers to treat; the whole polygon with its bridges"},
          {"area_m2", "Area", m2, &R::area_m2}}},
        {when(there.parcel),
         {{"parcel", "Parcel", none, &R::parcel,
           "id of the parcel (`inputs.parcels.id`); empty for what `treat.required` asks for; only "
           "with `treat.shape = \"parcel\"`"}}},
        {when(there.strip),
         {{"length_m", "Length", m, &R::length_m,
           "of the strip, along its line; only with `treat.shape = \"strip\"`"}}},
        {when(there.slope),
         {{"slope_percent", "Slope", percent, &R::slope_percent,
           "mean slope of the land to treat; only with `[inputs.elevation]`"}}},
        {when(there.road),
         {{"road_m", "Distance to a road", m, &R::road_m,
           "from the nearest cell to treat to the nearest road, in a straight line; only with "
           "`[inputs.roads]`"}}},
        {when(there.year),
         {{"year", "Year", none, &R::year, "of the work; only with `treat.years`"}}},
        {when(there.residual),
         {{"residual_share", "Share that stays", share, &R::residual_share,
           "of the conifers; only with `treat.thinning`"}}},
        {when(there.required),
         {{"required", "Required", none, &R::required,
           "`yes` where `treat.required` asks for it, else `no`; only with that key"}}},
        cost_column<R>(there.cost),
        {when(true),
         {{"exposure_removed", "Exposure removed", points, &R::exposure_removed,
           "percentage points, summed over structures: what `priority.tif` says of its cells"},
          {"homes_in_reach", "Homes in reach", none, &R::homes_in_reach,
           "structures with a ring that counts over some treated cell: how many are near, not by "
           "how much each falls"},
          {"x", "East", m, [](const R& r) { return r.at.x; },
           "in the first treated cell, analysis CRS"},
          {"y", "North", m, [](const R& r) { return r.at.y; }}}},
    });
}

std::vector<Column<CurveRow>> curve_columns(CostColumn cost)
{
    using namespace unit;
    using R = CurveRow;
    return laid_out<R>({
        {when(true),
         {{"units", "Units", none, &R::units, "treatment units of a plan of its own"},
          {"conifer_ha", "Conifer", planned_ha, &R::conifer_ha, "that it treats"}}},
        cost_column<R>(cost),
        {when(true),
         {{"exposure_removed", "Exposure removed", points, &R::exposure_removed,
           "percentage points, summed over structures"},
          {"share_of_exposure_removed", "Share of exposure removed", share, &R::share_removed,
           "of the community's total exposure"},
          {"most_removable_share", "Most removable share", share, &R::most_removable,
           "the fractional optimum at the same cost, without fixed costs"}}},
    });
}

std::vector<Column<YearRow>> year_columns()
{
    using namespace unit;
    using R = YearRow;
    return {{"year", "Year", none, &R::year, "one row for each of `treat.years`"},
            {"budget", "Budget", year_amount, &R::budget,
             "money, or hectares of conifers, as `treat.budget` is"},
            {"units", "Units", none, &R::units, "treatment units of this year"},
            {"conifer_ha", "Conifer", planned_ha, &R::conifer_ha, "that they treat"},
            {"cost", "Cost", year_amount, &R::cost, "of these units, in the unit of the budget"},
            {"upkeep", "Upkeep", year_amount, &R::upkeep,
             "of the units of earlier years, from the same budget"},
            {"exposure_removed", "Exposure removed", points, &R::exposure_removed,
             "percentage points, summed over structures, by the units of this year"},
            {"exposure_lower_by", "Exposure lower by", points, &R::exposure_lower_by,
             "by which total exposure is lower at the end of the year, less what has grown back"}};
}

std::vector<Column<ConstraintRow>> constraint_columns()
{
    using namespace unit;
    using R = ConstraintRow;
    return {{"constraint", "Constraint", none, &R::constraint, "its key in the configuration"},
            {"name", "Name", none, &R::name, "which entry of the key; empty for all of it"},
            {"exposure_removed_without", "Exposure removed without it", points, &R::points_without,
             "percentage points, summed over structures, of the plan without it, all others kept"},
            {"points", "Price", points, &R::points,
             "what the constraint costs: by how much the plan removes less for it"}};
}

/// All that there can be.
constexpr UnitColumns every_column{CostColumn::present, true, true, true, true, true, true, true};

/// A structure with its exposure before and after.
struct Planned {
    const Structure& structure;
    std::optional<double> before, after;
};

std::vector<Column<Planned>> planned_columns()
{
    using namespace unit;
    using R = Planned;
    return {{"structure_id", "Structure", none, [](const R& r) { return r.structure.id; },
             "as in `addresses.csv`"},
            {"exposure_before", "Exposure before", of_100, &R::before,
             "of the structure as it is, and on the ground as the units would leave it"},
            {"exposure_after", "Exposure after", of_100, &R::after}};
}

auto planned_rows(const Community& community, const PlannedExposure& change)
{
    return [&](std::size_t i) {
        return Planned{community.structures[i], change.before[i], change.after[i]};
    };
}

/// Columns and rows become metres of a frame at the unit, y upwards, which turns the loops round.
std::string wkb_of(const UnitRow& unit, const Grid& grid)
{
    // A frame at the unit keeps numbers small; rows run down and y up, which would turn shells into
    // holes.
    const Point origin = unit.loops.front().front();
    const CellFrame frame{static_cast<std::int64_t>(origin.x), static_cast<std::int64_t>(origin.y)};
    Footprint shape;
    for (const Loop& loop : unit.loops) {
        Loop& turned = shape.loops.emplace_back();
        std::transform(loop.rbegin(), loop.rend(), std::back_inserter(turned), [&](Point p) {
            return Point{(p.x - origin.x) * grid.cell_width_m(),
                         (origin.y - p.y) * grid.cell_height_m()};
        });
    }
    return wkb_multipolygon(shape, frame, grid);
}

} // namespace

void write_units_csv(const std::filesystem::path& path, const std::vector<UnitRow>& units,
                     const UnitColumns& columns, bool bom)
{
    write_csv(path, with_note(unit_columns(columns)), units, bom);
}

void write_years_csv(const std::filesystem::path& path, const std::vector<YearRow>& years, bool bom)
{
    write_csv(path, with_note(year_columns()), years, bom);
}

void write_constraints_csv(const std::filesystem::path& path,
                           const std::vector<ConstraintRow>& constraints, bool bom)
{
    write_csv(path, with_note(constraint_columns()), constraints, bom);
}

void write_curve_csv(const std::filesystem::path& path, const std::vector<CurveRow>& curve,
                     CostColumn cost, bool bom)
{
    write_csv(path, with_note(curve_columns(cost)), curve, bom);
}

void write_exposure_csv(const std::filesystem::path& path, const Community& community,
                        const PlannedExposure& change, bool bom)
{
    write_csv(path, planned_columns(), community.structures.size(), planned_rows(community, change),
              bom);
}

void write_treatment_gpkg(const std::filesystem::path& path, const std::vector<UnitRow>& units,
                          const UnitColumns& columns, const Community& community,
                          const PlannedExposure& change, const Grid& grid, const Crs& crs)
{
    GpkgFile file{path, crs, plan_caution()};
    add_layer(
        file, "treatment_units", GpkgFile::Shape::multipolygon, unit_columns(columns), units.size(),
        [&](std::size_t k) -> const UnitRow& { return units[k]; },
        [&](std::size_t k) { return wkb_of(units[k], grid); });
    const std::vector<Structure>& all = community.structures;
    add_layer(file, "treatment_exposure", GpkgFile::Shape::point, planned_columns(), all.size(),
              planned_rows(community, change),
              [&](std::size_t k) { return wkb_point(all[k].inside); });
    file.finish();
}

std::vector<ColumnHead> unit_heads()
{
    return heads_of(unit_columns(every_column));
}

std::vector<FileColumns> treatment_tables()
{
    return {{"treatment_units.csv", heads_of(with_note(unit_columns(every_column)))},
            {"benefit_curve.csv", heads_of(with_note(curve_columns(CostColumn::present)))},
            {"treatment_exposure.csv", heads_of(planned_columns())},
            {"treatment_years.csv", heads_of(with_note(year_columns()))},
            {"treatment_constraints.csv", heads_of(with_note(constraint_columns()))}};
}

} // namespace fuelring
