// SPDX-License-Identifier: Apache-2.0

// Exit code 3: what rasters and layers can be like.
#include "end_to_end/messages.hpp"
#include "end_to_end/share_raster.hpp"
#include "hamlet_raster.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace fuelring::test {

namespace {

using Change = std::function<void(const fs::path& file)>;

/// A raster that `make` makes in place of the hamlet's.
Provocation raster(const char* message, std::vector<std::string> names, const Change& make)
{
    names.emplace_back("other.tif");
    return {message, std::move(names), [make](MappedHamlet& hamlet) {
                const fs::path file = hamlet.folder() / "other.tif";
                fs::remove(file);
                fs::remove(file.string() + ".msk");
                make(file);
                hamlet.config("inputs.fuel", "path") = toml_text(file);
            }};
}

/// A table of the configuration with a layer, and its key for a column of that layer.
struct LayerInput {
    std::string table, key, column;
};
const LayerInput structures{"inputs.structures", "id", "structure_id"};
const LayerInput parcels{"inputs.parcels", "owner", "owner"};

/// A GeoPackage of these shapes as such an input.
Provocation layer(const LayerInput& input, const char* message, std::vector<std::string> names,
                  const std::vector<Shape>& shapes)
{
    names.emplace_back("other.gpkg, layer other");
    return {message, std::move(names), [=](MappedHamlet& hamlet) {
                const fs::path file = hamlet.folder() / "other.gpkg";
                fs::remove(file);
                make_layer(file, "GPKG", input.column, 32611, shapes);
                hamlet.config(input.table, "path") = toml_text(file);
                hamlet.config(input.table, input.key) = toml_text(input.column);
            }};
}

/// One key of [inputs.TABLE] set to a value as TOML writes it.
Provocation input_setting(const char* message, std::vector<std::string> names,
                          const std::string& table, const std::string& key,
                          const std::string& value)
{
    names.push_back(fmt::format("inputs.{}.{}", table, key));
    return {message, std::move(names),
            [=](MappedHamlet& hamlet) { hamlet.config("inputs." + table, key) = value; }};
}

/// None of its blocks is in the file.
void make_sparse(const fs::path& file, int cells, int block)
{
    make_hamlet_raster(file, 1, GDT_Byte,
                       {"TILED=YES", "SPARSE_OK=TRUE", "BIGTIFF=YES",
                        fmt::format("BLOCKXSIZE={}", block), fmt::format("BLOCKYSIZE={}", block)},
                       cells);
}

/// A raster of shares that holds one value everywhere.
Provocation shares(const char* message, const char* values, int value,
                   std::vector<std::string> names)
{
    return {message, std::move(names), [=](MappedHamlet& hamlet) {
                const fs::path file = hamlet.folder() / "shares.tif";
                make_shares(file, GDT_Byte, {}, [value](auto, auto) { return value; });
                hamlet.config.tables["inputs.fuel"].clear();
                hamlet.config("inputs.fuel", "path") = toml_text(file);
                hamlet.config("inputs.fuel", "values") = toml_text(values);
            }};
}

/// Two tiles, the second at `x` in another system.
Provocation tiles(const char* message, double x, int epsg)
{
    return {message, {"second.tif", "first.tif"}, [=](MappedHamlet& hamlet) {
                const auto make = [&](const char* name, double at, int system) {
                    make_fuel(hamlet.folder() / name,
                              {300, 300, {at, 1, 0, 5600300, 0, -1}, system, [](auto, auto) {
                                   return grass;
                               }});
                };
                make("first.tif", 600000, 32611);
                make("second.tif", x, epsg);
                hamlet.config("inputs.fuel", "path") = "['first.tif', 'second.tif']";
            }};
}

void make_hamlet_fuel(const fs::path& file, int epsg,
                      const std::function<int(std::int64_t, std::int64_t)>& code_at)
{
    make_fuel(file, {hamlet_cells, hamlet_cells, hamlet_transform, epsg, code_at});
}

int lawn(std::int64_t, std::int64_t)
{
    return grass;
}

/// Cells that do not compress well.
void make_noise(const fs::path& file)
{
    make_hamlet_fuel(file, 32611, [](std::int64_t row, std::int64_t col) {
        return (row * 7919 + col * col * 104729) % 97 < 48 ? int{grass} : int{conifer};
    });
}

void make_truncated(const fs::path& file)
{
    make_noise(file);
    fs::resize_file(file, fs::file_size(file) * 2 / 3);
}

/// Nothing where the blocks were.
void make_damaged(const fs::path& file)
{
    make_noise(file);
    std::string bytes = text_of(file);
    std::fill(bytes.begin() + static_cast<std::ptrdiff_t>(bytes.size() / 3), bytes.end(), '\0');
    write_text(file, bytes);
}

/// A good raster with this beside it.
Provocation sidecar(const char* message, std::vector<std::string> names, const std::string& text)
{
    return {message, std::move(names), [text](MappedHamlet& hamlet) {
                const fs::path file = hamlet.folder() / "summed.tif";
                make_noise(file);
                write_text(file.string() + ".sha256", text);
                hamlet.config("inputs.fuel", "path") = toml_text(file);
            }};
}

void make_huge(const fs::path& file)
{
    make_sparse(file, 2'000'000, 1 << 16);
    REQUIRE(fs::file_size(file) < 16'000);
}

void make_fractions(const fs::path& file)
{
    const DatasetPtr data = make_hamlet_raster(file, 1, GDT_Float32);
    REQUIRE(GDALFillRaster(GDALGetRasterBand(data.get(), 1), 0.25, 0) == CE_None);
}

void make_vrt(const fs::path& file)
{
    write_text(file, R"(<VRTDataset rasterXSize="4" rasterYSize="3"><VRTRasterBand band="1">
        <SimpleSource><SourceFilename>/vsicurl/http://127.0.0.1:1/x.tif</SourceFilename>
        </SimpleSource></VRTRasterBand></VRTDataset>)");
}

const std::string house = rectangle_wkt(600130, 5600150, 600140, 5600160);

/// A lot for each of 21 classes of owners.
std::vector<Shape> motley_lots()
{
    std::vector<Shape> shapes;
    for (int k = 0; k <= 20; ++k)
        shapes.push_back({fmt::format("owner {}", k),
                          rectangle_wkt(600100 + 2 * k, 5600100, 600102 + 2 * k, 5600200)});
    return shapes;
}

} // namespace

std::vector<Provocation> raster_provocations()
{
    return {
        raster("no raster that can be read: …", {"inputs.fuel.path"},
               [](const fs::path& file) { write_text(file, "not a raster"); }),
        raster("it is a … file, which may point to data elsewhere",
               {"VRT", "inputs.fuel.path", "run.remote_inputs"}, make_vrt),
        raster("the file next to the raster is not a GeoTIFF and may point to data elsewhere",
               {"other.tif.msk", "run.remote_inputs"},
               [](const fs::path& file) {
                   make_hamlet_fuel(file, 32611, lawn);
                   make_vrt(file.string() + ".msk");
               }),
        input_setting("no plain local file", {"http://127.0.0.1:1/x.tif", "run.remote_inputs"},
                      "fuel", "path", "'/vsicurl/http://127.0.0.1:1/x.tif'"),
        input_setting("no band …: the raster has …", {"fuel.tif", "no band 2"}, "fuel", "band",
                      "2"),
        raster("… cells; … is the most that is read", {"2000000 x 2000000"}, make_huge),
        raster("blocks of … cells take … MiB each; … is the most", {"30000 x 30000"},
               [](const fs::path& file) { make_sparse(file, 30'000, 30'000); }),
        raster("its … rows are packed as one strip of … MiB; … is the most", {"8200", "64"},
               [](const fs::path& file) {
                   make_hamlet_raster(file, 1, GDT_Byte,
                                      {"COMPRESS=DEFLATE", "ZLEVEL=1", "BLOCKYSIZE=8200"}, 8200);
               }),
        raster("the file has no coordinate reference system", {"inputs.fuel.crs"},
               [](const fs::path& file) { make_hamlet_fuel(file, 0, lawn); }),
        raster("the file is cut short: …", {}, make_truncated),
        raster("columns …, rows … cannot be read: …", {}, make_damaged),
        sidecar("the file is not the one that … is of: …",
                {"summed.tif", "summed.tif.sha256", std::string(64, '0')},
                std::string(64, '0') + "  /srv/build/summed.tif\n"),
        sidecar("no checksum as sha256sum writes it: …", {"summed.tif.sha256", "line 2"},
                std::string(64, '0') + " *other.tif\nnonsense\n"),
        sidecar("no checksum as sha256sum writes it: …",
                {"summed.tif.sha256", "does not name summed.tif"},
                std::string(64, '0') + " *other.tif\n"),
        sidecar("no checksum as sha256sum writes it: …", {"summed.tif.sha256", "empty"}, ""),
        raster("the cell in column …, row … is …, which is not a class code",
               {"0.25", "looks like a share of cover: Float32 with fractions, from 0.25 to 0.25",
                "inputs.fuel.values = \"fraction\"", "inputs.fuel.band"},
               make_fractions),
        shares("… cells around the structures (…%) are outside …", "percent", 255,
               {"shares.tif", "0 to 100: 255 ("}),
        shares("no cell around the structures is above 1: …", "percent", 1, {"shares.tif"}),
        {"no file has a name of the pattern …",
         {"run.toml, line ", "inputs.fuel.path", "*.img"},
         [](MappedHamlet& hamlet) { hamlet.config("inputs.fuel", "path") = "'tiles/*.img'"; }},
        tiles("tiles of one raster differ in their …: …", 600000, 32612),
        tiles("the tile's cells do not lie on those of …: …", 600000.5, 32611),
        raster("the fuel-class table has no row for … around the structures: …",
               {"77 (", "100.0% of the land", "tamarack_bend.csv", "belong together"},
               [](const fs::path& file) {
                   make_hamlet_fuel(file, 32611, [](std::int64_t, std::int64_t) { return 77; });
               }),
    };
}

std::vector<Provocation> elevation_provocations()
{
    const auto level = [](double, double) { return 500.0; };
    const auto elevation = [](const char* message, std::vector<std::string> names,
                              const ElevationFile& made, const Change& change) {
        names.emplace_back("heights.tif");
        return Provocation{message, std::move(names), [=](MappedHamlet& hamlet) {
                               const fs::path file = hamlet.folder() / "heights.tif";
                               make_elevation(file, made);
                               change(file);
                               hamlet.config("inputs.elevation", "path") = toml_text(file);
                           }};
    };
    const std::array<double, 6> far{700000, 5, 0, 5600300, 0, -5};
    return {
        elevation("no structure is on the elevation raster", {"inputs.elevation.crs"},
                  {60, 60, far, 32611, level}, [](const fs::path&) {}),
        elevation("heights of scale … and offset … are none", {"gdal_edit"},
                  {60, 60, hamlet_transform, 32611, level},
                  [](const fs::path& file) {
                      const DatasetPtr data{
                          GDALOpenEx(file.c_str(), GDAL_OF_UPDATE, nullptr, nullptr, nullptr)};
                      REQUIRE(data);
                      GDALSetRasterScale(GDALGetRasterBand(data.get(), 1), 0);
                  }),
        elevation("the file is cut short: …", {}, {300, 300, hamlet_transform, 32611, level},
                  [](const fs::path& file) { fs::resize_file(file, fs::file_size(file) / 2); }),
    };
}

std::vector<Provocation> layer_provocations()
{
    return {
        input_setting("no vector layer that can be read: …", {"absent.gpkg"}, "structures", "path",
                      "'absent.gpkg'"),
        input_setting("no layer …", {"structures.gpkg", "huts"}, "structures", "layer", "'huts'"),
        input_setting("no column …", {"addresses.gpkg, layer addresses", "street"}, "addresses",
                      "text", "'street'"),
        input_setting("the layer cannot be read with the filter …",
                      {"structures.gpkg, layer structures"}, "structures", "where", "'height >'"),
        {"the file has no coordinate reference system",
         {"no_crs.shp", "inputs.structures.crs"},
         [](MappedHamlet& hamlet) {
             const fs::path shp = hamlet.folder() / "no_crs.shp";
             make_layer(shp, "ESRI Shapefile", "id", 0, {{"A", house}});
             hamlet.config("inputs.structures", "path") = toml_text(shp);
         }},
        {"the layer has … where polygons are needed",
         {"lines.shp, layer lines", "Line String", "inputs.structures.layer"},
         [](MappedHamlet& hamlet) {
             const fs::path shp = hamlet.folder() / "lines.shp";
             make_layer(shp, "ESRI Shapefile", "id", 32611,
                        {{"A", "LINESTRING (600130 5600150, 600140 5600160)"}});
             hamlet.config("inputs.structures", "path") = toml_text(shp);
         }},
        layer(structures, "no structure is left of … features: …", {"inputs.structures.layer"}, {}),
        layer(structures, "no structure is left of … features: …", {"1 without area"},
              {{"A", "LINESTRING (600130 5600150, 600140 5600160)"}}),
        layer(structures, "… ids in column … are repeated: …",
              {"structure_id", "'A' in features 1 and 3"},
              {{"A", house}, {"B", house}, {"A", house}}),
        layer(structures, "… features have no id in column …", {"structure_id", "(features 2)"},
              {{"A", house}, {"", house}}),
        input_setting("the condition \"…\" cannot be read: …", {"structures.gpkg"}, "structures",
                      "homes", "'storeys > 2'"),
        input_setting("the condition \"…\" cannot be read: …", {"semicolon"}, "structures", "homes",
                      "'structure_id is not null; drop'"),
        {"'…' is no number of people",
         {"structures.gpkg", "feature 1", "A-5"},
         [](MappedHamlet& hamlet) {
             hamlet.config("inputs.structures", "people") = "'structure_id'";
             hamlet.config("inputs.structures", "where") = "'fid = 1'";
         }},
        {"a vertex cannot be placed in the raster's grid",
         {"nan.geojson, layer nan, feature 7", "inputs.structures.crs"},
         [](MappedHamlet& hamlet) {
             const fs::path file = hamlet.folder() / "nan.geojson";
             write_text(file, R"({"type": "FeatureCollection", "name": "nan", "features": [
                 {"type": "Feature", "id": 7, "properties": {}, "geometry": {"type": "Polygon",
                 "coordinates": [[[-115, 50], [NaN, NaN], [-115, 51], [-115, 50]]]}}]})");
             hamlet.config("inputs.structures", "path") = toml_text(file);
             hamlet.config.tables["inputs.structures"].erase("id");
         }},
        {"a part of it lies elsewhere: …",
         {"link.geojson", "http://127.0.0.1:1/crs", "run.remote_inputs"},
         [](MappedHamlet& hamlet) {
             const fs::path file = hamlet.folder() / "link.geojson";
             write_text(file, R"({"type": "FeatureCollection", "crs": {"type": "link", "properties":
                 {"href": "http://127.0.0.1:1/crs"}}, "features": [{"type": "Feature",
                 "properties": {}, "geometry": {"type": "Polygon", "coordinates":
                 [[[-115, 50], [-114, 50], [-115, 51], [-115, 50]]]}}]})");
             hamlet.config("inputs.structures", "path") = toml_text(file);
         }},
        layer(structures, "a text in column … has more than … bytes", {"feature 1", "structure_id"},
              {{std::string(1'000'001, 'A'), house}}),
        layer(structures, "all … structures are outside the fuel raster: …",
              {"x 700005", "600000", "inputs.structures.crs", "inputs.fuel.crs"},
              {{"A", rectangle_wkt(700000, 5600150, 700010, 5600160)}}),
        layer(parcels, "… pairs of parcels overlap: …",
              {"1 pairs", "features 1 and 3 (60.00 m2)", "inputs.parcels.where"},
              {{"private", rectangle_wkt(600100, 5600100, 600200, 5600150)},
               {"private", rectangle_wkt(600000, 5600100, 600100, 5600150)},
               {"crown", rectangle_wkt(600140, 5600147, 600160, 5600250)}}),
        layer(parcels, "… classes of owners in column …",
              {"21 classes", "column owner", "20 is the most"}, motley_lots()),
        layer(parcels, "there is no parcel near a structure", {"inputs.parcels.layer"},
              {{"private", rectangle_wkt(700000, 5600100, 700100, 5600150)}}),
        {"PROJ has no way to convert from … to …",
         {"moon.gpkg, layer moon", "Moon", "inputs.structures.crs"},
         [](MappedHamlet& hamlet) {
             const fs::path file = hamlet.folder() / "moon.gpkg";
             make_layer(file, "GPKG", "structure_id", 0, {{"A", house}});
             hamlet.config("inputs.structures", "path") = toml_text(file);
             hamlet.config("inputs.structures", "crs") = "\"IAU_2015:30100\"";
         }},
        {"…: places come into the raster's system within … m only, by …",
         {"inputs.structures", "within 8 m", "NAD27 to WGS 84 (13)", "ca_nrc_ntv2_0.tif",
          "inputs.reprojected_within_m = 8"},
         [](MappedHamlet& hamlet) {
             const fs::path file = hamlet.folder() / "nad27.gpkg";
             reproject_layer(hamlet.folder() / "structures.gpkg", file, "GPKG", 26711);
             hamlet.config("inputs.structures", "path") = toml_text(file);
         }},
        layer(structures, "structure … lies outside the area of …",
              {"structure B", "inputs.structures.crs"},
              {{"A", house}, {"B", rectangle_wkt(4e7, 5600150, 40000010, 5600160)}}),
    };
}

} // namespace fuelring::test
