// SPDX-License-Identifier: Apache-2.0
#include "io/gdal/handles.hpp"
#include "unit/io/file_size_limit.hpp"
#include "unit/io/scratch_folder.hpp"
#include "unit/io/tables/hamlet.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>
#include <ogr_spatialref.h>

using namespace fuelring;

namespace {

DatasetPtr open(const std::filesystem::path& path)
{
    return DatasetPtr{
        GDALOpenEx(path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, nullptr, nullptr, nullptr)};
}

std::string answer(GDALDatasetH file, const char* sql)
{
    OGRLayerH result = GDALDatasetExecuteSQL(file, sql, nullptr, nullptr);
    REQUIRE(result != nullptr);
    std::string text;
    if (const FeaturePtr row{OGR_L_GetNextFeature(result)})
        text = OGR_F_GetFieldAsString(row.get(), 0);
    GDALDatasetReleaseResultSet(file, result);
    return text;
}

OGRFieldType type_of(OGRLayerH layer, const char* field)
{
    OGRFeatureDefnH definition = OGR_L_GetLayerDefn(layer);
    const int index = OGR_FD_GetFieldIndex(definition, field);
    REQUIRE(index >= 0);
    return OGR_Fld_GetType(OGR_FD_GetFieldDefn(definition, index));
}

/// A layer of the hamlet's GeoPackage.
struct HamletLayer {
    ScratchFolder folder;
    DatasetPtr file;
    OGRLayerH layer = nullptr;

    explicit HamletLayer(const char* name)
    {
        write_geopackage(folder / "fuelring.gpkg", Hamlet{}.tables());
        file = open(folder / "fuelring.gpkg");
        layer = GDALDatasetGetLayerByName(file.get(), name);
        REQUIRE(layer != nullptr);
    }
};

} // namespace

TEST_CASE("fuelring.gpkg has the structures and the addresses, typed like their columns")
{
    const ScratchFolder folder;
    const Hamlet hamlet;
    write_geopackage(folder / "fuelring.gpkg", hamlet.tables());
    const DatasetPtr file = open(folder / "fuelring.gpkg");
    REQUIRE(file);
    REQUIRE(GDALDatasetGetLayerCount(file.get()) == 4); // with layer_styles
    OGRLayerH structures = GDALDatasetGetLayerByName(file.get(), "structures");
    OGRLayerH addresses = GDALDatasetGetLayerByName(file.get(), "addresses");
    REQUIRE((structures && addresses));
    CHECK(OGR_L_GetGeomType(structures) == wkbMultiPolygon);
    CHECK(OGR_L_GetGeomType(addresses) == wkbPoint);
    CHECK(OGR_L_GetFeatureCount(structures, TRUE) == 3);
    CHECK(OGR_L_GetFeatureCount(addresses, TRUE) == 4);
    CHECK(OGR_FD_GetFieldCount(OGR_L_GetLayerDefn(addresses)) == 26); // as in the CSV
    CHECK(OGR_FD_GetFieldCount(OGR_L_GetLayerDefn(structures)) == 25);
    CHECK(OGR_FD_GetFieldIndex(OGR_L_GetLayerDefn(structures), "address") == -1);
    CHECK(type_of(structures, "structure_id") == OFTString);
    CHECK(type_of(structures, "flags") == OFTString);
    CHECK(type_of(structures, "rank") == OFTInteger64);
    CHECK(type_of(structures, "conifer_frac_1.5_10m") == OFTReal);
    CHECK(OSRIsSame(OGR_L_GetSpatialRef(structures),
                    OGRSpatialReference::ToHandle(
                        const_cast<OGRSpatialReference*>(&hamlet.crs.srs()))) == TRUE);
    CHECK(answer(file.get(), "PRAGMA integrity_check") == "ok");
    CHECK(answer(file.get(), "SELECT count(*) FROM rtree_structures_geom") == "3");
}

TEST_CASE("the ring outlines are a layer on request: every ring of every structure")
{
    const ScratchFolder folder;
    Hamlet hamlet;
    hamlet.community.structures[0].stretch = {2, 1, {1, 0}};
    write_geopackage(folder / "fuelring.gpkg", hamlet.tables(), true);
    const DatasetPtr file = open(folder / "fuelring.gpkg");
    REQUIRE(file);
    OGRLayerH rings = GDALDatasetGetLayerByName(file.get(), "ring_outlines");
    REQUIRE(rings);
    CHECK(OGR_L_GetGeomType(rings) == wkbMultiPolygon);
    CHECK(OGR_L_GetFeatureCount(rings, TRUE) == 6);
    CHECK(type_of(rings, "structure_id") == OFTString);
    CHECK(type_of(rings, "outer_m") == OFTReal);
    struct Ring {
        std::string id, label;
        double outer_m, west, east;
    };
    // The cabin's walls stand from 500,010 to 500,014; it grows by 1.5 m all round, then by 20 m
    // downhill and 10 m uphill.
    const Ring expected[] = {{"-7", "0_1.5m", 1.5, 500'008.5, 500'015.5},
                             {"-7", "1.5_10m", 10, 500'000, 500'034}};
    for (const Ring& ring : expected) {
        const FeaturePtr row{OGR_L_GetNextFeature(rings)};
        REQUIRE(row);
        CHECK(OGR_F_GetFieldAsString(row.get(), 0) == ring.id);
        CHECK(OGR_F_GetFieldAsString(row.get(), 1) == ring.label);
        CHECK(OGR_F_GetFieldAsDouble(row.get(), 2) == ring.outer_m);
        OGREnvelope box;
        OGR_G_GetEnvelope(OGR_F_GetGeometryRef(row.get()), &box);
        CHECK(box.MinX == ring.west);
        CHECK(box.MaxX == ring.east);
    }
}

TEST_CASE("unknown is null, zero is zero, and doubles are whole")
{
    const ScratchFolder folder;
    write_geopackage(folder / "fuelring.gpkg", Hamlet{}.tables());
    const DatasetPtr file = open(folder / "fuelring.gpkg");
    REQUIRE(file);
    struct Case {
        std::string_view why;
        const char* sql;
        std::string_view value;
    };
    const Case cases[] = {
        {"no exposure", "SELECT exposure IS NULL FROM structures WHERE structure_id = 'lost'", "1"},
        {"no rank", "SELECT rank IS NULL FROM structures WHERE structure_id = 'lost'", "1"},
        {"unmapped ground is unknown",
         "SELECT \"conifer_m2_0_1.5m\" IS NULL FROM structures WHERE structure_id = 'lost'", "1"},
        {"no neighbourhood",
         "SELECT neighbourhood IS NULL FROM structures WHERE structure_id = '-7'", "1"},
        {"no address", "SELECT address IS NULL FROM addresses WHERE structure_id = 'lost'", "1"},
        {"zero stays zero", "SELECT nearest_conifer_m FROM structures WHERE structure_id = '-7'",
         "0"},
        {"text is not neutralised here", "SELECT count(*) FROM addresses WHERE address = '=1+1'",
         "1"},
        {"full doubles",
         "SELECT nearest_conifer_m = 0.123456 FROM structures WHERE structure_id = 'F'", "1"},
        {"rows stand in the order of the tables",
         "SELECT structure_id FROM addresses WHERE fid = 1", "F"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        CHECK(answer(file.get(), c.sql) == c.value);
    }
}

TEST_CASE("an address stands at its own point, a structure without one at a point inside")
{
    const HamletLayer hamlet{"addresses"};
    OGRLayerH layer = hamlet.layer;
    const Point expected[] = {
        {500'110, 5'249'900}, {500'012, 5'249'991}, {500'011.5, 5'249'992}, {500'501, 5'249'501}};
    for (const Point& p : expected) {
        const FeaturePtr feature{OGR_L_GetNextFeature(layer)};
        REQUIRE(feature);
        OGRGeometryH point = OGR_F_GetGeometryRef(feature.get());
        CHECK(Point{OGR_G_GetX(point, 0), OGR_G_GetY(point, 0)} == p);
    }
}

TEST_CASE("a courtyard is a hole")
{
    const HamletLayer hamlet{"structures"};
    OGRLayerH layer = hamlet.layer;
    const FeaturePtr farm{OGR_L_GetFeature(layer, 2)};
    REQUIRE(farm);
    OGRGeometryH shape = OGR_F_GetGeometryRef(farm.get());
    CHECK(OGR_G_GetGeometryCount(shape) == 2);
    CHECK(OGR_G_GetGeometryCount(OGR_G_GetGeometryRef(shape, 0)) == 2); // shell and hole
    CHECK(OGR_G_Area(shape) == doctest::Approx(332).epsilon(1e-12));
    CHECK(OGR_G_IsValid(shape));
}

TEST_CASE("footprints lie where they were read, whatever the map scale of their place")
{
    // 2 units of the CRS are a metre of ground: a cabin of 4 x 3 m spans 8 x 6 units.
    const ScratchFolder folder;
    Hamlet hamlet;
    hamlet.community.structures[0].map_scale = 2;
    write_geopackage(folder / "fuelring.gpkg", hamlet.tables());
    const DatasetPtr file = open(folder / "fuelring.gpkg");
    OGRLayerH layer = GDALDatasetGetLayerByName(file.get(), "structures");
    REQUIRE(layer != nullptr);
    const FeaturePtr cabin{OGR_L_GetFeature(layer, 1)};
    OGREnvelope box;
    OGR_G_GetEnvelope(OGR_F_GetGeometryRef(cabin.get()), &box);
    CHECK(box.MinX == 500'010);
    CHECK(box.MaxX == 500'018);
    CHECK(box.MinY == 5'249'990);
    CHECK(box.MaxY == 5'249'996);
}

TEST_CASE("the same tables give the same bytes")
{
    const ScratchFolder folder;
    const Hamlet hamlet;
    write_geopackage(folder / "a.gpkg", hamlet.tables());
    write_geopackage(folder / "b.gpkg", hamlet.tables());
    const std::string bytes = bytes_of(folder / "a.gpkg");
    CHECK(bytes.size() > 50'000);
    CHECK((bytes == bytes_of(folder / "b.gpkg")));
}

TEST_CASE("a GeoPackage that does not fit on the disk is an output error and is not there")
{
    const ScratchFolder folder;
    const Hamlet hamlet;
    const FileSizeLimit full{20'000};
    try {
        write_geopackage(folder / "fuelring.gpkg", hamlet.tables());
        FAIL("the limit did not bite");
    } catch (const Error& error) {
        CHECK(error.kind() == Failure::output);
    }
    CHECK(folder.empty());
}
