// SPDX-License-Identifier: Apache-2.0
#include "io/treatment_out.hpp"

#include "exposure/caution.hpp"
#include "io/csv.hpp"
#include "io/csvt.hpp"
#include "io/durable_file.hpp"
#include "io/footprint_wkb.hpp"
#include "io/gpkg_file.hpp"

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

/// A column of treatment_units, in the CSV and in the GeoPackage.
struct UnitColumn {
    const char* name;
    GpkgField::Type type;
    int decimals;
    GpkgValue (*value)(const UnitRow& row);
};

GpkgValue text_or_null(const std::string& text)
{
    return text.empty() ? GpkgValue{} : GpkgValue{text};
}

constexpr UnitColumn unit_columns[] = {
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
     [](const UnitRow& r) { return GpkgValue{r.cost}; }},
    {"exposure_removed", GpkgField::Type::real, decimals_points,
     [](const UnitRow& r) { return GpkgValue{r.exposure_removed}; }},
    {"homes_helped", GpkgField::Type::integer, 0,
     [](const UnitRow& r) { return GpkgValue{r.homes_helped}; }},
    {"x", GpkgField::Type::real, decimals_m2, [](const UnitRow& r) { return GpkgValue{r.at.x}; }},
    {"y", GpkgField::Type::real, decimals_m2, [](const UnitRow& r) { return GpkgValue{r.at.y}; }},
};

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

GpkgValue real_or_null(const std::optional<double>& value)
{
    return value ? GpkgValue{*value} : GpkgValue{};
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

void add_units(GpkgFile& file, const std::vector<UnitRow>& units, const Grid& grid)
{
    std::vector<GpkgField> fields;
    for (const UnitColumn& column : unit_columns)
        fields.push_back({column.name, column.type});
    file.begin_layer("treatment_units", GpkgFile::Shape::multipolygon, fields);
    for (const UnitRow& unit : units) {
        std::vector<GpkgValue> values;
        for (const UnitColumn& column : unit_columns)
            values.push_back(column.value(unit));
        file.add_row(values, wkb_of(unit, grid));
    }
}

} // namespace

void write_units_csv(const std::filesystem::path& path, const std::vector<UnitRow>& units, bool bom)
{
    std::string header;
    for (const UnitColumn& column : unit_columns)
        header.append(header.empty() ? "" : ",").append(column.name);
    std::string rows;
    for (const UnitRow& unit : units) {
        bool first = true;
        for (const UnitColumn& column : unit_columns) {
            rows += first ? "" : ",";
            first = false;
            append_value(rows, column.value(unit), column.decimals);
        }
        end_with_note(rows);
    }
    std::vector<GpkgField::Type> types;
    for (const UnitColumn& column : unit_columns)
        types.push_back(column.type);
    types.push_back(Type::text);
    write_table(path, header + note_column, rows, units.size(), bom, types);
}

void write_curve_csv(const std::filesystem::path& path, const std::vector<CurveRow>& curve,
                     bool bom)
{
    std::string rows;
    for (const CurveRow& row : curve) {
        rows += std::to_string(row.units) + ',';
        append_number(rows, row.conifer_ha, decimals_ha);
        rows += ',';
        append_number(rows, row.cost, decimals_money);
        rows += ',';
        append_number(rows, row.exposure_removed, decimals_points);
        rows += ',';
        append_number(rows, row.share_removed, decimals_share);
        rows += ',';
        append_number(rows, row.most_removable, decimals_share);
        end_with_note(rows);
    }
    write_table(
        path,
        "units,conifer_ha,cost,exposure_removed,share_of_exposure_removed,"
        "most_removable_share" +
            std::string{note_column},
        rows, curve.size(), bom,
        {Type::integer, Type::real, Type::real, Type::real, Type::real, Type::real, Type::text});
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
                          const Community& community, const PlannedExposure& change,
                          const Grid& grid, const Crs& crs)
{
    GpkgFile file{path, crs, plan_caution()};
    add_units(file, units, grid);
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
