// SPDX-License-Identifier: Apache-2.0
#include "io/tables/treatment_out.hpp"

#include "base/caution.hpp"
#include "io/geopackage/footprint_wkb.hpp"
#include "io/geopackage/gpkg_file.hpp"
#include "io/tables/csv_table.hpp"

#include <algorithm>
#include <numeric>

namespace fuelring {

namespace {

constexpr int decimals_of_planned_hectares = 6;

template <typename Row>
void add_cost(std::vector<Column<Row>>& columns, CostColumn cost)
{
    if (cost == CostColumn::present)
        columns.push_back(
            real_column<Row>("cost", decimals_of_money, [](const Row& r) { return r.cost; }));
}

/// The last column of a plan's CSV files, which have no metadata: rows that are copied from them
/// keep their caution.
template <typename Row>
std::vector<Column<Row>> with_note(std::vector<Column<Row>> columns)
{
    columns.push_back(text_column<Row>("note", [](const Row&) { return plan_caution(); }));
    return columns;
}

/// In the CSV and in the GeoPackage.
std::vector<Column<UnitRow>> unit_table(CostColumn cost)
{
    using R = UnitRow;
    std::vector<Column<R>> columns = {
        integer_column<R>("rank", [](const R& r) { return r.rank; }),
        text_column<R>("owner", [](const R& r) { return r.owner; }),
        text_column<R>("neighbourhood", [](const R& r) { return r.neighbourhood; }),
        text_column<R>("method", [](const R& r) { return r.method; }),
        real_column<R>("conifer_m2", decimals_of_metres, [](const R& r) { return r.conifer_m2; }),
        real_column<R>("area_m2", decimals_of_metres, [](const R& r) { return r.area_m2; })};
    add_cost(columns, cost);
    columns.insert(
        columns.end(),
        {real_column<R>("exposure_removed", decimals_of_exposure,
                        [](const R& r) { return r.exposure_removed; }),
         integer_column<R>("homes_in_reach", [](const R& r) { return r.homes_in_reach; }),
         real_column<R>("x", decimals_of_metres, [](const R& r) { return r.at.x; }),
         real_column<R>("y", decimals_of_metres, [](const R& r) { return r.at.y; })});
    return columns;
}

std::vector<Column<CurveRow>> curve_table(CostColumn cost)
{
    using R = CurveRow;
    std::vector<Column<R>> columns = {
        integer_column<R>("units", [](const R& r) { return r.units; }),
        real_column<R>("conifer_ha", decimals_of_planned_hectares,
                       [](const R& r) { return r.conifer_ha; })};
    add_cost(columns, cost);
    columns.insert(columns.end(),
                   {real_column<R>("exposure_removed", decimals_of_exposure,
                                   [](const R& r) { return r.exposure_removed; }),
                    real_column<R>("share_of_exposure_removed", decimals_of_fractions,
                                   [](const R& r) { return r.share_removed; }),
                    real_column<R>("most_removable_share", decimals_of_fractions,
                                   [](const R& r) { return r.most_removable; })});
    return columns;
}

/// A row is the index of a structure. The columns refer to `community` and `change`.
std::vector<Column<std::size_t>> exposure_table(const Community& community,
                                                const PlannedExposure& change)
{
    using R = std::size_t;
    return {text_column<R>("structure_id", [&](R i) { return community.structures[i].id; }),
            real_column<R>("exposure_before", decimals_of_exposure,
                           [&](R i) { return change.before[i]; }),
            real_column<R>("exposure_after", decimals_of_exposure,
                           [&](R i) { return change.after[i]; })};
}

std::vector<std::size_t> indices_of(const std::vector<Structure>& structures)
{
    std::vector<std::size_t> indices(structures.size());
    std::iota(indices.begin(), indices.end(), std::size_t{0});
    return indices;
}

/// Columns and rows become metres of a frame at the unit, y upwards, which turns the loops round.
std::string wkb_of(const UnitRow& unit, const Grid& grid)
{
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

void add_units(GpkgFile& file, const std::vector<UnitRow>& units, CostColumn cost, const Grid& grid)
{
    const std::vector<Column<UnitRow>> columns = unit_table(cost);
    file.begin_layer("treatment_units", GpkgFile::Shape::multipolygon, fields_of(columns));
    for (const UnitRow& unit : units)
        file.add_row(values_of(columns, unit), wkb_of(unit, grid));
}

} // namespace

void write_units_csv(const std::filesystem::path& path, const std::vector<UnitRow>& units,
                     CostColumn cost, bool bom)
{
    write_csv(path, with_note(unit_table(cost)), units, bom);
}

void write_curve_csv(const std::filesystem::path& path, const std::vector<CurveRow>& curve,
                     CostColumn cost, bool bom)
{
    write_csv(path, with_note(curve_table(cost)), curve, bom);
}

void write_exposure_csv(const std::filesystem::path& path, const Community& community,
                        const PlannedExposure& change, bool bom)
{
    write_csv(path, exposure_table(community, change), indices_of(community.structures), bom);
}

void write_treatment_gpkg(const std::filesystem::path& path, const std::vector<UnitRow>& units,
                          CostColumn cost, const Community& community,
                          const PlannedExposure& change, const Grid& grid, const Crs& crs)
{
    GpkgFile file{path, crs, plan_caution()};
    add_units(file, units, cost, grid);
    const std::vector<Column<std::size_t>> columns = exposure_table(community, change);
    file.begin_layer("treatment_exposure", GpkgFile::Shape::point, fields_of(columns));
    for (const std::size_t i : indices_of(community.structures))
        file.add_row(values_of(columns, i), wkb_point(community.structures[i].inside));
    file.finish();
}

} // namespace fuelring
