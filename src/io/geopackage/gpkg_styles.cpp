// SPDX-License-Identifier: Apache-2.0

// What a desktop GIS finds in the file beside the layers: styles, in the table of that name which
// desktop programs look for, and what the columns are called, in the tables of the GeoPackage
// standard's schema extension (OGC 12-128r15, annex F.9).
#include "io/geopackage/gpkg_file.hpp"
#include "io/geopackage/layer_style.hpp"

#include <fmt/format.h>

namespace fuelring {

namespace {

constexpr const char* style_layer = "layer_styles";
constexpr const char* fixed_moment = "2000-01-01T00:00:00Z";

std::string quoted(const std::string& text)
{
    std::string to = "'";
    for (const char c : text)
        to.append(c == '\'' ? 2 : 1, c);
    return to + "'";
}

constexpr const char* columns_table =
    "CREATE TABLE gpkg_data_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL, "
    "name TEXT, title TEXT, description TEXT, mime_type TEXT, constraint_name TEXT, "
    "CONSTRAINT pk_gdc PRIMARY KEY (table_name, column_name), "
    "CONSTRAINT gdc_tn UNIQUE (table_name, name))";
constexpr const char* constraints_table =
    "CREATE TABLE gpkg_data_column_constraints (constraint_name TEXT NOT NULL, "
    "constraint_type TEXT NOT NULL, value TEXT, min NUMERIC, min_is_inclusive BOOLEAN, "
    "max NUMERIC, max_is_inclusive BOOLEAN, description TEXT, "
    "CONSTRAINT gdcc_ntv UNIQUE (constraint_name, constraint_type, value))";
constexpr const char* extensions_table =
    "CREATE TABLE IF NOT EXISTS gpkg_extensions (table_name TEXT, column_name TEXT, "
    "extension_name TEXT NOT NULL, definition TEXT NOT NULL, scope TEXT NOT NULL, "
    "CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name))";
constexpr const char* extension_rows =
    "INSERT INTO gpkg_extensions VALUES "
    "('gpkg_data_columns', NULL, 'gpkg_schema', "
    "'http://www.geopackage.org/spec121/#extension_schema', 'read-write'), "
    "('gpkg_data_column_constraints', NULL, 'gpkg_schema', "
    "'http://www.geopackage.org/spec121/#extension_schema', 'read-write')";

} // namespace

void GpkgFile::run(const std::string& sql)
{
    if (OGRLayerH result = GDALDatasetExecuteSQL(file_.get(), sql.c_str(), nullptr, nullptr))
        GDALDatasetReleaseResultSet(file_.get(), result);
    require(true);
}

void GpkgFile::add_aliases()
{
    run(extensions_table);
    run(columns_table);
    run(constraints_table);
    run(extension_rows);
    for (const Layer& layer : layers_)
        for (const GpkgField& field : layer.fields)
            run(fmt::format("INSERT INTO gpkg_data_columns VALUES ({0}, {1}, {2}, {2}, NULL, NULL, "
                            "NULL)",
                            quoted(layer.name), quoted(field.name), quoted(field.alias)));
}

/// Read from the disk: a write that failed in silence cannot pass.
void GpkgFile::require_aliases(GDALDatasetH file) const
{
    OGRLayerH read = GDALDatasetExecuteSQL(
        file, "SELECT table_name, column_name, name FROM gpkg_data_columns ORDER BY rowid", nullptr,
        nullptr);
    if (!read)
        throw damaged("gpkg_data_columns is missing");
    bool same = true;
    for (const Layer& layer : layers_) {
        // It was begun after the aliases were written, and has none.
        if (layer.name == style_layer)
            continue;
        for (const GpkgField& field : layer.fields) {
            const FeaturePtr row{OGR_L_GetNextFeature(read)};
            same = same && row && layer.name == OGR_F_GetFieldAsString(row.get(), 0) &&
                   field.name == OGR_F_GetFieldAsString(row.get(), 1) &&
                   field.alias == OGR_F_GetFieldAsString(row.get(), 2);
        }
    }
    GDALDatasetReleaseResultSet(file, read);
    if (!same)
        throw damaged("gpkg_data_columns differs from what was written");
}

void GpkgFile::add_styles()
{
    using Type = GpkgField::Type;
    std::vector<std::vector<GpkgValue>> rows;
    for (const Layer& layer : layers_) {
        const LayerStyle style = style_of(layer.name, layer.shape == Shape::point, layer.fields);
        rows.push_back({std::string{}, std::string{}, layer.name, std::string{"geom"}, layer.name,
                        style.qml, style.sld, std::int64_t{1}, std::string{"as fuelring draws it"},
                        std::string{}, GpkgValue{}, std::string{fixed_moment}});
    }
    begin_layer(style_layer, Shape::none,
                {{"f_table_catalog", Type::text},
                 {"f_table_schema", Type::text}, // empty, not null: null is not found
                 {"f_table_name", Type::text},
                 {"f_geometry_column", Type::text},
                 {"styleName", Type::text},
                 {"styleQML", Type::text},
                 {"styleSLD", Type::text},
                 {"useAsDefault", Type::integer},
                 {"description", Type::text},
                 {"owner", Type::text},
                 {"ui", Type::text},
                 {"update_time", Type::moment}});
    for (const std::vector<GpkgValue>& row : rows)
        add_row(row, {});
}

} // namespace fuelring
