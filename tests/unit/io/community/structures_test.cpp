// SPDX-License-Identifier: Apache-2.0
#include "community_fixture.hpp"

#include <doctest/doctest.h>
#include <ogr_geometry.h>
#include <ogr_spatialref.h>

#include <cmath>
#include <memory>

using namespace fuelring;
using namespace fuelring::test;
using doctest::Approx;

namespace {

/// POLYGON or MULTIPOLYGON text, shifted from the raster's corner to where it stands on the map.
std::string at_corner(const std::string& wkt)
{
    OGRGeometry* raw = nullptr;
    REQUIRE(OGRGeometryFactory::createFromWkt(wkt.c_str(), nullptr, &raw) == OGRERR_NONE);
    const std::unique_ptr<OGRGeometry> geometry{raw};
    struct Shift : OGRDefaultGeometryVisitor {
        using OGRDefaultGeometryVisitor::visit;
        void visit(OGRPoint* p) override
        {
            p->setX(p->getX() + raster_corner.x);
            p->setY(p->getY() + raster_corner.y);
        }
    } shift;
    geometry->accept(&shift);
    return geometry->exportToWkt(OGRWktOptions{}, nullptr);
}

Structure only(const Town& town)
{
    const Community community = town.read();
    REQUIRE(community.structures.size() == 1);
    return community.structures.front();
}

Structure read_one(const std::string& wkt)
{
    const Town town;
    town.structures({{at_corner(wkt), {"a"}}});
    return only(town);
}

} // namespace

TEST_CASE("a footprint stands in local metres of the cell at its lower left corner")
{
    const Structure house =
        read_one("POLYGON ((20.5 -40, 30.5 -40, 30.5 -32, 20.5 -32, 20.5 -40))");
    CHECK(house.frame.col == 20);
    CHECK(house.frame.row == 40);
    CHECK(house.footprint_m2 == 80);
    const Box box = bounds(house.footprint);
    CHECK(box.min == Point{0.5, 0});
    CHECK(box.max == Point{10.5, 8});
    CHECK_FALSE(house.repaired_outline);
    CHECK(house.inside.x == 500'025.5);
    // Source: zone 32 has its central meridian at 9 E; degrees by PROJ, checked to 1e-4 by hand
    // (111.2 km a degree of latitude, 71.5 km of longitude at 50 N).
    CHECK(house.lon_deg == Approx(9.000357).epsilon(1e-6));
    CHECK(house.lat_deg == Approx(50.0117).epsilon(1e-4));
}

TEST_CASE("moving grid and footprint together by whole metres changes no bit")
{
    const std::string wkt =
        "POLYGON ((20.3 -40.1, 31.7 -43.9, 35.2 -30.6, 28.8 -28.2, 20.3 -40.1))";
    const Structure here = read_one(wkt);
    const Town town;
    // 1024 m are exact, as are the coordinates of the moved outline in this frame.
    std::vector<Structure> moved;
    for (const double shift : {0.0, 1024.0, 65'536.0}) {
        const Town other;
        write_layer(other.folder / "s.gpkg", {.columns = {"id"}},
                    {{rectangle(16 + shift, -64, 8.25, 12.5), {"a"}}});
        const Grid grid{{500'000 + shift, 1, 0, 5'540'000, 0, -1}, 200, 200};
        Warnings warnings;
        moved.push_back(read_community({.structures = {{.path = other.folder / "s.gpkg"}}},
                                       {grid, other.crs}, warnings)
                            .structures.front());
    }
    for (const Structure& s : moved) {
        CHECK(s.footprint.loops == moved.front().footprint.loops);
        CHECK(s.footprint_m2 == moved.front().footprint_m2);
        CHECK(s.frame.col == moved.front().frame.col);
        CHECK(s.inside.y == moved.front().inside.y);
    }
    CHECK(here.footprint.loops.size() == 1);
}

TEST_CASE("shells and holes turn the same way whichever way the file turns them")
{
    // A courtyard of 4 x 4 in a block of 10 x 10, written clockwise and counter-clockwise.
    const Structure a = read_one("POLYGON ((10 -20, 20 -20, 20 -10, 10 -10, 10 -20), "
                                 "(13 -17, 17 -17, 17 -13, 13 -13, 13 -17))");
    const Structure b = read_one("POLYGON ((10 -20, 10 -10, 20 -10, 20 -20, 10 -20), "
                                 "(13 -17, 13 -13, 17 -13, 17 -17, 13 -17))");
    for (const Structure& s : {a, b}) {
        CHECK(s.footprint_m2 == 84);
        CHECK(s.footprint.loops.size() == 2);
        CHECK_FALSE(s.repaired_outline);
        CHECK_FALSE(contains(s.footprint, {5, 5})); // a courtyard is outside
    }
}

TEST_CASE("what is drawn is what is measured: area and loops of odd geometries")
{
    struct Case {
        std::string_view why;
        std::string wkt;
        double area_m2;
        std::size_t loops;
        bool repaired;
    };
    const Case cases[] = {
        {"two parts that overlap are united",
         "MULTIPOLYGON (((10 -20, 20 -20, 20 -10, 10 -10, 10 -20)), "
         "((15 -20, 25 -20, 25 -10, 15 -10, 15 -20)))",
         150, 1, false},
        {"two parts side by side become one",
         "MULTIPOLYGON (((10 -20, 20 -20, 20 -10, 10 -10, 10 -20)), "
         "((20 -20, 30 -20, 30 -10, 20 -10, 20 -20)))",
         200, 1, false},
        {"two parts apart stay two",
         "MULTIPOLYGON (((10 -20, 20 -20, 20 -10, 10 -10, 10 -20)), "
         "((30 -20, 40 -20, 40 -10, 30 -10, 30 -20)))",
         200, 2, false},
        {"the same part twice is one, not a hole",
         "MULTIPOLYGON (((10 -20, 20 -20, 20 -10, 10 -10, 10 -20)), "
         "((10 -20, 20 -20, 20 -10, 10 -10, 10 -20)))",
         100, 1, false},
        // Two triangles of base 10 and height 5.
        {"a bow-tie becomes its two triangles",
         "POLYGON ((10 -20, 20 -10, 20 -20, 10 -10, 10 -20))", 50, 2, true},
        {"a spike goes", "POLYGON ((10 -20, 20 -20, 20 -10, 20 -5, 20 -10, 10 -10, 10 -20))", 100,
         1, true},
        {"repeated vertices go",
         "POLYGON ((10 -20, 10 -20, 20 -20, 20 -10, 20 -10, 10 -10, 10 -20))", 100, 1, false},
        {"a hole without area goes",
         "POLYGON ((10 -20, 20 -20, 20 -10, 10 -10, 10 -20), (12 -12, 12 -12, 12 -12, 12 -12))",
         100, 1, false},
        {"heights do not matter", "POLYGON Z ((10 -20 5, 20 -20 6, 20 -10 7, 10 -10 8, 10 -20 5))",
         100, 1, false},
        {"polygons in a collection count, its points and lines do not",
         "GEOMETRYCOLLECTION (POINT (1 -1), LINESTRING (1 -1, 2 -2), "
         "POLYGON ((10 -20, 20 -20, 20 -10, 10 -10, 10 -20)))",
         100, 1, false},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const Structure s = read_one(c.wkt);
        CHECK(s.footprint_m2 == Approx(c.area_m2).epsilon(1e-12));
        CHECK(s.footprint.loops.size() == c.loops);
        CHECK(s.repaired_outline == c.repaired);
        CHECK(contains(s.footprint, Grid(metre_cells, 200, 200).to_local(s.frame, s.inside)));
    }
}

TEST_CASE("a round outline is made straight closely enough")
{
    // A circle of 10 m; pieces of 1 degree lose 1 - sin(a)/a of its area, 5.1e-5.
    const Structure s = read_one("CURVEPOLYGON (CIRCULARSTRING (10 -20, 30 -20, 10 -20))");
    CHECK(s.footprint_m2 == Approx(std::acos(-1.0) * 100).epsilon(6e-5));
    CHECK(s.footprint.loops.front().size() >= 360);
}

TEST_CASE("what is left out and what is odd is counted, with the first few ids")
{
    Town town;
    town.sources.structures.min_area_m2 = 20;
    town.structures({{rectangle(10, -20, 10, 10), {"house"}},
                     {rectangle(10, -20, 10, 10), {"house again"}},
                     {rectangle(40, -20, 4, 4.9), {"shed"}},
                     {rectangle(50, -20, 4, 5), {"garage"}},
                     {"", {"no geometry"}},
                     {"POLYGON EMPTY", {"empty"}},
                     {at_corner("POLYGON ((60 -20, 70 -20, 60 -20, 60 -20))"), {"line"}},
                     {at_corner("POLYGON ((80 -20, 90 -10, 90 -20, 80 -10, 80 -20))"), {"tie"}},
                     {rectangle(900, -20, 10, 10), {"elsewhere"}}});
    const Community community = town.read();
    std::vector<std::string> ids;
    for (const Structure& s : community.structures)
        ids.push_back(s.id);
    CHECK(ids == std::vector<std::string>{"elsewhere", "garage", "house", "house again", "tie"});
    struct Expected {
        std::string_view key;
        std::vector<std::string> ids;
    };
    const Expected expected[] = {{"empty_outlines", {"no geometry", "empty", "line"}},
                                 {"below_min_area", {"shed"}},
                                 {"repaired_outlines", {"tie"}},
                                 {"duplicate_outlines", {"house", "house again"}},
                                 {"structures_off_raster", {"elsewhere"}}};
    CHECK(town.warnings.size() == std::size(expected));
    for (const Expected& e : expected) {
        CAPTURE(e.key);
        REQUIRE(town.warning(e.key));
        CHECK(town.warning(e.key)->examples == e.ids);
        CHECK(town.warning(e.key)->count == static_cast<std::int64_t>(e.ids.size()));
    }
    CHECK(community.structures[2].duplicate_outline);
    CHECK(community.structures[3].duplicate_outline);
    CHECK_FALSE(community.structures[1].duplicate_outline);
}

TEST_CASE("the same outline is seen whichever vertex it begins with and whichever way it turns")
{
    const Town town;
    town.structures({{at_corner("POLYGON ((10 -20, 20 -20, 20 -10, 10 -10, 10 -20))"), {"a"}},
                     {at_corner("POLYGON ((20 -10, 20 -20, 10 -20, 10 -10, 20 -10))"), {"b"}},
                     {at_corner("POLYGON ((20 -10, 20 -20.001, 10 -20, 10 -10, 20 -10))"), {"c"}}});
    const Community community = town.read();
    CHECK(community.structures[0].duplicate_outline);
    CHECK(community.structures[1].duplicate_outline);
    CHECK_FALSE(community.structures[2].duplicate_outline);
}

TEST_CASE("structures stand in bytewise order of their id, feature ids where no column is named")
{
    Town town;
    town.structures({{rectangle(10, -20, 5, 5), {"b"}},
                     {rectangle(20, -20, 5, 5), {"\xC3\xA4"}}, // a-umlaut: above every ASCII letter
                     {rectangle(30, -20, 5, 5), {"Z"}},
                     {rectangle(40, -20, 5, 5), {"10"}},
                     {rectangle(50, -20, 5, 5), {"9"}}});
    std::vector<std::string> ids;
    for (const Structure& s : town.read().structures)
        ids.push_back(s.id);
    CHECK(ids == std::vector<std::string>{"10", "9", "Z", "b", "\xC3\xA4"});
    town.sources.structures.id.clear();
    ids.clear();
    for (const Structure& s : town.read().structures)
        ids.push_back(s.id);
    CHECK(ids == std::vector<std::string>{"1", "2", "3", "4", "5"});
}

TEST_CASE("a filter picks features, in every format")
{
    for (const std::string_view driver : {"GPKG", "ESRI Shapefile", "GeoJSON"}) {
        CAPTURE(driver);
        Town town;
        const int epsg = driver == "GeoJSON" ? 4326 : utm32;
        const std::string path = town.folder / (driver == "GPKG"             ? "f.gpkg"
                                                : driver == "ESRI Shapefile" ? "f.shp"
                                                                             : "f.geojson");
        const std::string house = epsg == utm32
                                      ? rectangle(10, -20, 5, 5)
                                      : "POLYGON ((9.0005 50.0117, 9.0006 50.0117, 9.0006 50.0118, "
                                        "9.0005 50.0118, 9.0005 50.0117))";
        write_layer(path, {.epsg = epsg, .driver = std::string{driver}, .columns = {"id", "kind"}},
                    {{house, {"a", "barn"}}, {house, {"b", "house"}}});
        town.sources.structures = {{.path = path, .where = "kind = 'house'"}, "id"};
        const Structure s = only(town);
        CHECK(s.id == "b");
    }
}

TEST_CASE("footprints in degrees and in metres of the grid agree within a millimetre")
{
    // The same roof, once in UTM and once taken to degrees with 12 decimals (0.1 nm).
    const std::vector<Point> roof = {{500'020.25, 5'539'960.5},
                                     {500'031.75, 5'539'958.25},
                                     {500'034, 5'539'970},
                                     {500'021.5, 5'539'971.5}};
    const Town metric;
    const Town geographic;
    const Reprojection to_degrees{metric.crs, Crs::wgs84()};
    std::string in_metres = "POLYGON ((";
    std::string in_degrees = in_metres;
    for (std::size_t k = 0; k <= roof.size(); ++k) {
        Point p = roof[k % roof.size()];
        char text[100];
        std::snprintf(text, sizeof text, "%s%.4f %.4f", k ? ", " : "", p.x, p.y);
        in_metres += text;
        REQUIRE(to_degrees.apply(p));
        std::snprintf(text, sizeof text, "%s%.12f %.12f", k ? ", " : "", p.x, p.y);
        in_degrees += text;
    }
    metric.structures({{in_metres + "))", {"a"}}});
    geographic.structures({{in_degrees + "))", {"a"}}}, 4326);
    const Structure a = only(metric);
    const Structure b = only(geographic);
    REQUIRE(a.footprint.loops.front().size() == b.footprint.loops.front().size());
    CHECK(a.frame.col == b.frame.col);
    for (std::size_t k = 0; k < roof.size(); ++k) {
        const Point gap = a.footprint.loops.front()[k] - b.footprint.loops.front()[k];
        CHECK(std::hypot(gap.x, gap.y) < 1e-3);
    }
    CHECK(std::abs(a.lon_deg - b.lon_deg) < 1e-8);
    CHECK(a.footprint_m2 == Approx(b.footprint_m2).epsilon(1e-6));
}

TEST_CASE("what was done about the CRS of each layer is said, with both names")
{
    Town town;
    write_layer(town.folder / "structures.gpkg", {.epsg = 0, .columns = {"id"}},
                {{rectangle(10, -20, 5, 5), {"a"}}});
    town.sources.structures.crs = "EPSG:32632";
    town.addresses({{point(12, -18), {"1"}}});
    town.sources.addresses->crs = "EPSG:4326"; // which the file does not need
    write_layer(town.folder / "areas.gpkg", {.epsg = 4326, .columns = {"name"}},
                {{"POLYGON ((8 49, 10 49, 10 51, 8 51, 8 49))", {"Mill"}}});
    town.sources.neighbourhoods = NeighbourhoodSource{{.path = town.folder / "areas.gpkg"}, "name"};
    std::vector<LayerCrs> layers;
    const Community community =
        read_community(town.sources, {town.grid, town.crs}, town.warnings, &layers);
    std::vector<std::string> notes;
    for (const LayerCrs& layer : layers)
        notes.push_back(layer.note);
    CHECK(community.structures.front().neighbourhood == 0U);
    CHECK(
        notes ==
        std::vector<std::string>{
            "inputs.structures: WGS 84 / UTM zone 32N (EPSG:32632) by the configuration, the same "
            "as the raster's",
            "inputs.addresses: WGS 84 / UTM zone 32N (EPSG:32632) by the file "
            "(inputs.addresses.crs = \"EPSG:4326\" is for files that have none), the same as the "
            "raster's",
            "inputs.neighbourhoods: WGS 84 (EPSG:4326) by the file, reprojected to WGS 84 / UTM "
            "zone 32N (EPSG:32632) by UTM zone 32N (exact)"});
}

TEST_CASE("structures are read on a grid that is turned")
{
    // Columns run north, rows run east: a turn by 90 degrees.
    const Town town;
    town.structures({{rectangle(10, -20, 10, 5), {"a"}}});
    const Grid turned{{500'000, 0, 1, 5'539'800, 1, 0}, 200, 200};
    Warnings warnings;
    const Community community = read_community(town.sources, {turned, town.crs}, warnings);
    const Structure& s = community.structures.front();
    CHECK(s.footprint_m2 == 50);
    const Box box = bounds(s.footprint);
    CHECK(box.max.x - box.min.x == 5); // local x runs along the columns, that is north
    CHECK(box.max.y - box.min.y == 10);
    CHECK(s.inside.x == Approx(500'015));
}
