// SPDX-License-Identifier: Apache-2.0

// Inputs made by somebody who means harm: none of them reaches another machine or another file.
#include "io/raster/fuel_raster.hpp"
#include "io/vector/vector_layer.hpp"
#include "listener.hpp"
#include "unit/io/community/community_fixture.hpp"

#include <cpl_conv.h>
#include <doctest/doctest.h>
#include <ogr_feature.h>
#include <sqlite3.h>

#include <fstream>
#include <iterator>
#include <memory>
#include <utility>

using namespace fuelring;
using namespace fuelring::test;

namespace {

const FuelClassTable two_classes{{{1, "pine", FuelGroup::conifer, 10'000, "test"}}};

/// Opens and reads a layer to its end; the message of what stopped it, if anything did.
std::string reading(const LayerSource& source)
{
    try {
        const VectorLayer layer{"inputs.structures", source};
        layer.for_each([](const OGRFeature&) {});
        return {};
    } catch (const Error& e) {
        return e.message();
    }
}

std::string reading(const std::string& path, bool trusted = false)
{
    return reading(LayerSource{.path = path, .remote_allowed = trusted});
}

std::string vrt_to(const std::string& url)
{
    return fmt::format(R"(<VRTDataset rasterXSize="4" rasterYSize="3"><VRTRasterBand
        dataType="Byte" band="1"><SimpleSource><SourceFilename>/vsicurl/{}.tif</SourceFilename>
        </SimpleSource></VRTRasterBand></VRTDataset>)",
                       url);
}

constexpr std::string_view square = R"("geometry": {"type": "Polygon", "coordinates":
    [[[9, 50], [9.001, 50], [9.001, 50.001], [9, 50]]]})";

std::string bytes_of(const std::string& path)
{
    std::ifstream file{path, std::ios::binary};
    return {std::istreambuf_iterator<char>{file}, {}};
}

void run_sql(const std::string& file, const std::string& sql)
{
    sqlite3* opened = nullptr;
    REQUIRE(sqlite3_open(file.c_str(), &opened) == SQLITE_OK);
    const std::unique_ptr<sqlite3, decltype(&sqlite3_close)> owner{opened, sqlite3_close};
    char* reason = nullptr;
    const int code = sqlite3_exec(opened, sql.c_str(), nullptr, nullptr, &reason);
    CAPTURE(std::string{reason ? reason : ""});
    sqlite3_free(reason);
    REQUIRE(code == SQLITE_OK);
}

/// A GeoPackage of one square, and a view of it whose column `id` is an expression.
void write_view(const std::string& file, const std::string& expression)
{
    write_layer(file, {.name = "roofs", .columns = {"id"}}, {{rectangle(10, -20, 5, 5), {"a"}}});
    run_sql(file,
            fmt::format("CREATE VIEW houses AS SELECT fid, geom, {} AS id FROM roofs;"
                        "INSERT INTO gpkg_contents(table_name, identifier, data_type, srs_id) "
                        "VALUES ('houses', 'houses', 'features', 32632);"
                        "INSERT INTO gpkg_geometry_columns VALUES ('houses', 'geom', 'GEOMETRY', "
                        "32632, 0, 0);",
                        expression));
}

Community read_view(const std::string& file)
{
    const Grid grid{metre_cells, 200, 200};
    Warnings warnings;
    return read_community({.structures = {{.path = file, .layer = "houses"}, "id"}},
                          {grid, Crs::from_user_input("EPSG:32632", "test")}, warnings);
}

} // namespace

TEST_CASE("a vector file that names a URL is not followed to it")
{
    const TempFolder folder;
    const Listener other;
    const std::string url = other.url();
    const std::pair<std::string, std::string> files[] = {
        {"link.geojson", fmt::format(R"({{"type": "FeatureCollection", "crs": {{"type": "link",
            "properties": {{"href": "{}"}}}}, "features": [{{"type": "Feature", "properties": {{}},
            {}}}]}})",
                                     url, square)},
        {"url.geojson", fmt::format(R"({{"type": "FeatureCollection", "crs": {{"type": "url",
            "properties": {{"url": "{}"}}}}, "features": [{{"type": "Feature", "properties": {{}},
            {}}}]}})",
                                    url, square)},
        {"schema.gml", fmt::format(R"(<?xml version="1.0"?><!DOCTYPE a SYSTEM "{0}">
            <gml:FeatureCollection xmlns:gml="http://www.opengis.net/gml"
            xmlns:xlink="http://www.w3.org/1999/xlink"
            xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" xsi:schemaLocation="a {0}.xsd">
            <gml:featureMember xlink:href="{0}"><a fid="1"><gml:Polygon srsName="{0}">
            <gml:outerBoundaryIs><gml:LinearRing><gml:coordinates>9,50 9.1,50 9,51 9,50
            </gml:coordinates></gml:LinearRing></gml:outerBoundaryIs></gml:Polygon></a>
            </gml:featureMember></gml:FeatureCollection>)",
                                   url)},
        {"net.kml",
         fmt::format(R"(<?xml version="1.0"?><kml xmlns="http://earth.google.com/kml/2.2">
            <Document><Schema schemaUrl="{0}"/><NetworkLink><Link><href>{0}</href></Link>
            </NetworkLink><Placemark><styleUrl>{0}</styleUrl><Polygon><outerBoundaryIs><LinearRing>
            <coordinates>9,50 9.1,50 9,51 9,50</coordinates></LinearRing></outerBoundaryIs>
            </Polygon></Placemark></Document></kml>)",
                     url)},
        {"remote.csv", fmt::format("id,WKT\n1,\"{}\"\n", url)},
    };
    for (const auto& file : files) {
        const std::string& name = file.first;
        const std::string& text = file.second;
        CAPTURE(name);
        write_text(folder / name, text);
        const std::string message = reading(folder / name);
        CAPTURE(message);
        CHECK(other.calls() == 0);
        if (name.ends_with(".geojson")) // and its own CRS is not guessed
            CHECK(message.find("a part of it lies elsewhere") != std::string::npos);
    }
    // The control: a trusted one is followed, so the listener hears.
    admit_remote_inputs(true);
    CPLSetThreadLocalConfigOption("GDAL_HTTP_TIMEOUT", "2");
    reading(folder / "link.geojson", true);
    CHECK(other.calls() > 0);
    admit_remote_inputs(false);
}

TEST_CASE("a mask or overviews beside a raster are read only where they are GeoTIFFs")
{
    const TempFolder folder;
    const Listener other;
    const std::string fuel = folder / "fuel.tif";
    write_raster(fuel, {}, {1, 1, 1});
    for (const char* suffix : {".msk", ".MSK", ".ovr", ".ovr.msk", ".msk.ovr"}) {
        CAPTURE(suffix);
        write_text(fuel + suffix, vrt_to(other.url()));
        const Error e = error_of([&] { FuelRaster{{.path = fuel}, two_classes}; });
        CHECK(e.message().find("next to the raster is not a GeoTIFF") != std::string::npos);
        CHECK(e.where().ends_with(suffix));
        std::filesystem::remove(fuel + suffix);
    }
    CHECK(other.calls() == 0);
    write_raster(fuel + ".msk", {.epsg = 0}, std::vector<double>(12, 255));
    CHECK(FuelRaster{{.path = fuel}, two_classes}.grid().cols() == 4);
}

TEST_CASE("statistics, places and links that lie beside a raster change nothing")
{
    const TempFolder folder;
    const Listener other;
    const std::string fuel = folder / "fuel.tif";
    write_raster(fuel, {.nodata = 9}, {1, 1, 1});
    write_text(fuel + ".aux.xml",
               fmt::format(R"(<PAMDataset><SRS>{}</SRS><GeoTransform>nan, 1, 0, inf, 0, -1
        </GeoTransform><PAMRasterBand band="1"><NoDataValue>1</NoDataValue></PAMRasterBand>
        <Metadata domain="IMAGERY"><MDI key="X">{}</MDI></Metadata></PAMDataset>)",
                           other.url(), other.url()));
    write_text(folder / "fuel.tfw", "nan\n0\n0\ninf\n0\n0\n");
    write_text(folder / "fuel.prj", other.url());
    const FuelRaster raster{{.path = fuel}, two_classes};
    CHECK(raster.grid().corner(0, 0) == raster_corner);
    std::vector<ClassIndex> cells(12);
    FuelRaster::Reader{raster}.read(raster.grid().extent(), cells);
    CHECK(cells[0] == 1);
    CHECK(other.calls() == 0);
}

TEST_CASE("SQL that came with a GeoPackage calls no function that reaches outside")
{
    const Listener other;
    const std::string expressions[] = {
        "ogr_geocode('main street')",
        "ogr_datasource_load_layers('" + other.url() + "')",
        "load_extension('/tmp/evil.so')",
        "gdal_get_layer_pixel_value('/vsicurl/" + other.url() + ".tif', 1, 'pixel', 1, 1)",
    };
    CPLSetThreadLocalConfigOption("OGR_GEOCODE_SERVICE", "OSM_NOMINATIM");
    CPLSetThreadLocalConfigOption("OGR_GEOCODE_QUERY_TEMPLATE", (other.url() + "?q=%s").c_str());
    for (const std::string& expression : expressions) {
        CAPTURE(expression);
        const TempFolder folder;
        write_view(folder / "s.gpkg", expression);
        const Error e = error_of([&] { read_view(folder / "s.gpkg"); });
        const std::string message = e.message();
        CAPTURE(message);
        CHECK(e.kind() == Failure::input);
    }
    CHECK(other.calls() == 0);
    const TempFolder folder;
    write_view(folder / "s.gpkg", "upper(roofs.id)"); // a view is fine in itself
    CHECK(read_view(folder / "s.gpkg").structures.front().id == "A");
}

TEST_CASE("reading a GeoPackage with triggers runs none and leaves the file as it is")
{
    const TempFolder folder;
    const std::string file = folder / "s.gpkg";
    write_view(file, "roofs.id");
    for (const char* table : {"gpkg_contents", "gpkg_ogr_contents", "roofs"})
        for (const char* event : {"INSERT", "UPDATE", "DELETE"})
            run_sql(file, fmt::format("CREATE TRIGGER {0}_{1} AFTER {1} ON {0} BEGIN DELETE FROM "
                                      "roofs; END",
                                      table, event));
    const std::string before = bytes_of(file);
    CHECK(read_view(file).structures.size() == 1);
    CHECK((bytes_of(file) == before));
}

TEST_CASE("a feature that is absurdly large is refused by its number")
{
    const TempFolder folder;
    const std::string file = folder / "s.gpkg";
    write_layer(file, {.columns = {"id"}},
                {{rectangle(10, -20, 5, 5), {std::string(1'000'001, 'x')}}});
    CHECK(reading(file).find("feature 1: a text in column id has more than 1000000 bytes") !=
          std::string::npos);

    run_sql(file, "PRAGMA writable_schema = ON; DELETE FROM sqlite_master WHERE type = 'trigger'");
    run_sql(file, "UPDATE layer SET id = 'a', geom = (SELECT CAST(substr(geom, 1, 40) || "
                  "x'010300000001000000' || x'01004000' || zeroblob(16 * 4194305) AS BLOB) FROM "
                  "layer)");
    CHECK(reading(file).find("feature 1: its outline takes 64 MiB; 64 is the most") !=
          std::string::npos);
}

TEST_SUITE("sweep" * doctest::skip()) // a minute, and 200 MB of disk
{
    TEST_CASE("a layer of too many features is refused by their number")
    {
        const TempFolder folder;
        const std::string file = folder / "s.gpkg";
        write_view(file, "roofs.id");
        run_sql(file, "CREATE TABLE many(fid INTEGER PRIMARY KEY);"
                      "WITH RECURSIVE counted(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM counted "
                      "WHERE n <= 20000000) INSERT INTO many SELECT n FROM counted;"
                      "INSERT INTO gpkg_contents(table_name, identifier, data_type) "
                      "VALUES ('many', 'many', 'attributes')");
        const std::string message =
            reading(LayerSource{.path = file, .layer = "many", .crs = "EPSG:32632"});
        CAPTURE(message);
        CHECK(message.find("layer many: more than 20000000 features") != std::string::npos);
    }
}
