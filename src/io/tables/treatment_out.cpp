// SPDX-License-Identifier: Apache-2.0
#include "io/tables/treatment_out.hpp"

#include "base/caution.hpp"
#include "base/program/csv_writer.hpp"
#include "base/program/durable_file.hpp"
#include "io/geopackage/footprint_wkb.hpp"
#include "io/geopackage/gpkg_file.hpp"
#include "io/tables/csvt.hpp"

#include <algorithm>
#include <limits>
#include <string_view>

namespace fuelring {

namespace {

using Type = GpkgField::Type;

constexpr int decimals_m2 = 3;
constexpr int decimals_money = 2;
constexpr int decimals_points = 4;
constexpr int decimals_ha = 6;
constexpr int decimals_share = 6;

/// A column of a table of Row.
template <typename Row>
struct PlanColumn {
    const char* name;
    GpkgField::Type type;
    int decimals;
    GpkgValue (*value)(const Row& row);
};

GpkgValue real_or_null(const std::optional<double>& value)
{
    return value ? GpkgValue{*value} : GpkgValue{};
}

/// In the CSV and in the GeoPackage.
constexpr PlanColumn<UnitRow> unit_columns[] = {
    {"rank", GpkgField::Type::integer, 0, [](const UnitRow& r) { return GpkgValue{r.rank}; }},
    {"owner", GpkgField::Type::text, 0, [](const UnitRow& r) { return text_or_null(r.owner); }},
    {"neighbourhood", GpkgField::Type::text, 0,
     [](const UnitRow& r) { return text_or_null(r.neighbourhood); }},
    {"method", GpkgField::Type::text, 0, [](const UnitRow& r) { return text_or_null(r.method); }},
    {"conifer_m2", GpkgField::Type::real, decimals_m2,
     [](const UnitRow& r) { return GpkgValue{r.conifer_m2}; }},
    {"area_m2", GpkgField::Type::real, decimals_m2,
     [](const UnitRow& r) { return GpkgValue{r.area_m2}; }},
    {"cost", GpkgField::Type::real, decimals_money,
     [](const UnitRow& r) { return real_or_null(r.cost); }},
    {"exposure_removed", GpkgField::Type::real, decimals_points,
     [](const UnitRow& r) { return GpkgValue{r.exposure_removed}; }},
    {"homes_in_reach", GpkgField::Type::integer, 0,
     [](const UnitRow& r) { return GpkgValue{r.homes_in_reach}; }},
    {"x", GpkgField::Type::real, decimals_m2, [](const UnitRow& r) { return GpkgValue{r.at.x}; }},
    {"y", GpkgField::Type::real, decimals_m2, [](const UnitRow& r) { return GpkgValue{r.at.y}; }},
};

constexpr PlanColumn<CurveRow> curve_columns[] = {
    {"units", GpkgField::Type::integer, 0, [](const CurveRow& r) { return GpkgValue{r.units}; }},
    {"conifer_ha", GpkgField::Type::real, decimals_ha,
     [](const CurveRow& r) { return GpkgValue{r.conifer_ha}; }},
    {"cost", GpkgField::Type::real, decimals_money,
     [](const CurveRow& r) { return real_or_null(r.cost); }},
    {"exposure_removed", GpkgField::Type::real, decimals_points,
     [](const CurveRow& r) { return GpkgValue{r.exposure_removed}; }},
    {"share_of_exposure_removed", GpkgField::Type::real, decimals_share,
     [](const CurveRow& r) { return GpkgValue{r.share_removed}; }},
    {"most_removable_share", GpkgField::Type::real, decimals_share,
     [](const CurveRow& r) { return GpkgValue{r.most_removable}; }},
};

template <typename Row, std::size_t n>
std::vector<PlanColumn<Row>> shown(const PlanColumn<Row> (&columns)[n], CostColumn cost)
{
    std::vector<PlanColumn<Row>> all{std::begin(columns), std::end(columns)};
    if (cost == CostColumn::absent)
        std::erase_if(all,
                      [](const PlanColumn<Row>& c) { return std::string_view{c.name} == "cost"; });
    return all;
}

void append_value(std::string& to, const GpkgValue& value, int decimals)
{
    if (const auto* text = std::get_if<std::string>(&value))
        append_text_cell(to, *text);
    else if (const auto* whole = std::get_if<std::int64_t>(&value))
        to += std::to_string(*whole);
    else if (const auto* real = std::get_if<double>(&value))
        append_number(to, *real, decimals);
}

/// The last column of a plan's tables: a CSV file has no metadata, and rows that are copied from it
/// keep their caution.
constexpr const char* note_column = ",note";

void end_with_note(std::string& rows)
{
    rows += ',';
    append_text_cell(rows, plan_caution());
    rows += csv_line_end;
}

void write_table(const std::filesystem::path& path, std::string_view header,
                 const std::string& rows, std::size_t count, bool bom,
                 const std::vector<GpkgField::Type>& types)
{
    std::string text{bom ? utf8_mark : std::string_view{}};
    text.append(header).append(csv_line_end).append(rows);
    write_durably(path, text);
    require_csv_records(path, count + 1);
    write_csvt(path, types);
}

double number_or_nan(const std::optional<double>& value)
{
    return value.value_or(std::numeric_limits<double>::quiet_NaN());
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
    const auto columns = shown(unit_columns, cost);
    std::vector<GpkgField> fields;
    for (const auto& column : columns)
        fields.push_back({column.name, column.type});
    file.begin_layer("treatment_units", GpkgFile::Shape::multipolygon, fields);
    for (const UnitRow& unit : units) {
        std::vector<GpkgValue> values;
        for (const auto& column : columns)
            values.push_back(column.value(unit));
        file.add_row(values, wkb_of(unit, grid));
    }
}

template <typename Row>
void write_rows(const std::filesystem::path& path, const std::vector<Row>& all,
                const std::vector<PlanColumn<Row>>& columns, bool bom)
{
    std::string header;
    std::vector<GpkgField::Type> types;
    for (const PlanColumn<Row>& column : columns) {
        header.append(header.empty() ? "" : ",").append(column.name);
        types.push_back(column.type);
    }
    std::string rows;
    for (const Row& row : all) {
        for (const PlanColumn<Row>& column : columns) {
            rows += &column == &columns.front() ? "" : ",";
            append_value(rows, column.value(row), column.decimals);
        }
        end_with_note(rows);
    }
    types.push_back(Type::text);
    write_table(path, header + note_column, rows, all.size(), bom, types);
}

} // namespace

void write_units_csv(const std::filesystem::path& path, const std::vector<UnitRow>& units,
                     CostColumn cost, bool bom)
{
    write_rows(path, units, shown(unit_columns, cost), bom);
}

void write_curve_csv(const std::filesystem::path& path, const std::vector<CurveRow>& curve,
                     CostColumn cost, bool bom)
{
    write_rows(path, curve, shown(curve_columns, cost), bom);
}

void write_exposure_csv(const std::filesystem::path& path, const Community& community,
                        const PlannedExposure& change, bool bom)
{
    std::string rows;
    for (std::size_t i = 0; i < community.structures.size(); ++i) {
        append_text_cell(rows, community.structures[i].id);
        rows += ',';
        append_number(rows, number_or_nan(change.before[i]), decimals_points);
        rows += ',';
        append_number(rows, number_or_nan(change.after[i]), decimals_points);
        rows += csv_line_end;
    }
    write_table(path, "structure_id,exposure_before,exposure_after", rows,
                community.structures.size(), bom, {Type::text, Type::real, Type::real});
}

void write_treatment_gpkg(const std::filesystem::path& path, const std::vector<UnitRow>& units,
                          CostColumn cost, const Community& community,
                          const PlannedExposure& change, const Grid& grid, const Crs& crs)
{
    GpkgFile file{path, crs, plan_caution()};
    add_units(file, units, cost, grid);
    file.begin_layer("treatment_exposure", GpkgFile::Shape::point,
                     {{"structure_id", GpkgField::Type::text},
                      {"exposure_before", GpkgField::Type::real},
                      {"exposure_after", GpkgField::Type::real}});
    for (std::size_t i = 0; i < community.structures.size(); ++i)
        file.add_row({GpkgValue{community.structures[i].id}, real_or_null(change.before[i]),
                      real_or_null(change.after[i])},
                     wkb_point(community.structures[i].inside));
    file.finish();
}

} // namespace fuelring
