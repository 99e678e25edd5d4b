// SPDX-License-Identifier: Apache-2.0

// A run's folder as a picture: its layers column by column, its small tables, and the surface
// around the structures, in as many pixels as a page can carry.
#include "io/report_data/run_picture_in.hpp"

#include "io/run_folder/picture_table_in.hpp"
#include "io/run_folder/run_tables_in.hpp"
#include "io/tables/address_table.hpp"
#include "io/tables/neighbourhood_table.hpp"
#include "io/tables/treatment_out.hpp"
#include "io/vector/vector_layer.hpp"
#include "io/vector/vector_outline.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogr_feature.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>
#include <string>
#include <unordered_map>

namespace fuelring {

namespace {

constexpr double absent = std::numeric_limits<double>::quiet_NaN();

PictureColumn::Kind kind_of(OGRFieldType type)
{
    switch (type) {
    case OFTInteger:
    case OFTInteger64:
        return PictureColumn::Kind::integer;
    case OFTReal:
        return PictureColumn::Kind::real;
    default:
        return PictureColumn::Kind::text;
    }
}

/// A layer of a run.
struct LayerOfRun {
    std::string path;
    const char* name;
    std::vector<ColumnHead> heads; ///< columns that it can have, {} for what a run puts in a name
};

/// What people read of the layer's columns, by name: the file's own words (OGC 12-128r15, F.9).
std::map<std::string, std::string> headings_in(const LayerOfRun& layer)
{
    std::map<std::string, std::string> headings;
    const GDALDatasetUniquePtr file{
        GDALDataset::Open(layer.path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY)};
    const std::string sql = fmt::format(
        "SELECT column_name, name FROM gpkg_data_columns WHERE table_name = '{}'", layer.name);
    OGRLayer* const rows = file ? file->ExecuteSQL(sql.c_str(), nullptr, nullptr) : nullptr;
    if (!rows)
        return headings;
    for (const OGRFeatureUniquePtr& row : *rows)
        headings.emplace(row->GetFieldAsString(0), row->GetFieldAsString(1));
    file->ReleaseResultSet(rows);
    return headings;
}

void add_columns(PictureTable& table, const OGRFeatureDefn& definition, const LayerOfRun& layer)
{
    const std::map<std::string, std::string> headings = headings_in(layer);
    for (int k = 0; k < definition.GetFieldCount(); ++k) {
        const OGRFieldDefn& field = *definition.GetFieldDefn(k);
        const std::string name = field.GetNameRef();
        const auto heading = headings.find(name);
        table.columns.push_back({name,
                                 kind_of(field.GetType()),
                                 {},
                                 {},
                                 decimals_in(layer.heads, name),
                                 heading == headings.end() ? name : heading->second});
    }
}

void add_row(PictureTable& table, const OGRFeature& feature)
{
    for (std::size_t k = 0; k < table.columns.size(); ++k) {
        PictureColumn& column = table.columns[k];
        const int field = static_cast<int>(k);
        if (column.kind == PictureColumn::Kind::text)
            column.texts.push_back(text_of(feature, field).value_or(""));
        else
            column.numbers.push_back(
                feature.IsFieldSetAndNotNull(field) ? feature.GetFieldAsDouble(field) : absent);
    }
    ++table.rows;
}

PictureShape shape_of(const OGRGeometry* geometry, Point origin)
{
    PictureShape shape;
    for (RawPolygon& polygon : raw_outline(geometry).polygons)
        for (Loop& loop : polygon.loops) {
            if (loop.size() > 1 && loop.front() == loop.back())
                loop.pop_back();
            for (Point& p : loop)
                p = p - origin;
            shape.push_back(std::move(loop));
        }
    return shape;
}

PictureLayer read_layer(const LayerOfRun& from, Point origin)
{
    const VectorLayer layer{tables_of_run, {.path = from.path, .layer = from.name}};
    PictureLayer read;
    layer.for_each([&](const OGRFeature& feature) {
        if (read.table.columns.empty())
            add_columns(read.table, *feature.GetDefnRef(), from);
        add_row(read.table, feature);
        read.shapes.push_back(shape_of(feature.GetGeometryRef(), origin));
    });
    return read;
}

bool names_file(const nlohmann::json& manifest, const char* name)
{
    const nlohmann::json files = manifest.value("files", nlohmann::json::array());
    return std::any_of(files.begin(), files.end(), [name](const nlohmann::json& file) {
        return file.value("name", "") == name;
    });
}

void link_addresses(RunPicture& picture)
{
    std::unordered_map<std::string, std::size_t> rows;
    const std::vector<std::string>& ids =
        picture.structures.table.at(columns_of_run::structure_id).texts;
    for (std::size_t i = 0; i < ids.size(); ++i)
        rows.emplace(ids[i], i);
    for (const std::string& id : picture.addresses.at(columns_of_run::structure_id).texts) {
        const auto found = rows.find(id);
        if (found == rows.end())
            throw Error{Failure::input,
                        "an address has a structure_id that no structure has: " + id, tables_file,
                        "run fuelring map again"};
        picture.structure_of_address.push_back(found->second);
    }
}

void read_optional_tables(const RunFolder& run, RunPicture& picture)
{
    const auto table = [&](const char* name) {
        return names_file(run.manifest, name) ? std::optional{read_picture_table(run.path / name)}
                                              : std::nullopt;
    };
    picture.history = table("history.csv").value_or(PictureTable{});
    picture.sensitivity = table("sensitivity.csv").value_or(PictureTable{});
    if (names_file(run.manifest, "treatment.gpkg"))
        picture.treatment = {
            read_layer({run.file("treatment.gpkg"), "treatment_units", unit_heads()},
                       picture.origin),
            table("benefit_curve.csv").value_or(PictureTable{}),
            {}};
}

} // namespace

RunPicture read_run_picture(const RunFolder& run, std::int64_t most_pixels)
{
    RunPicture picture;
    picture.manifest = run.manifest;
    picture.community = run.manifest.value("community", "");
    const nlohmann::json date = run.manifest.value("imagery_date", nlohmann::json());
    picture.imagery_date = date.is_string() ? date.get<std::string>() : std::string{};
    picture.rings = run.rings;
    picture.near_m = run.manifest.at("configuration").at("rings").at("near_m");
    picture.origin = run.analysis.grid.corner(0, 0);

    const std::string tables = run.file(tables_file);
    const RunLabels labels = RunLabels::of_patterns();
    const std::vector<ColumnHead> heads = heads_of(address_columns(labels));
    picture.structures = read_layer({tables, layers_of_run::structures, heads}, picture.origin);
    picture.addresses = read_layer({tables, layers_of_run::addresses, heads}, picture.origin).table;
    picture.neighbourhoods =
        read_layer({tables, layers_of_run::neighbourhoods, heads_of(neighbourhood_columns(labels))},
                   picture.origin);
    link_addresses(picture);
    std::vector<std::size_t> all(picture.structures.table.rows);
    std::iota(all.begin(), all.end(), std::size_t{0});
    picture.box = box_of_measured(picture.structures, all);
    const Point middle = picture.origin + 0.5 * (picture.box.min + picture.box.max);
    picture.map_scale = run.analysis.ground.at(middle);
    picture.surface = read_picture_surface(run, picture, most_pixels);
    picture.ground = read_picture_ground(run, picture);
    picture.degrees = read_picture_degrees(run, picture);
    read_optional_tables(run, picture);
    return picture;
}

} // namespace fuelring
