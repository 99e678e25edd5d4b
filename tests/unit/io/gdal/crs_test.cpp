// SPDX-License-Identifier: Apache-2.0
#include "io/georeference/layer_crs.hpp"
#include "unit/io/data_files.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using namespace fuelring;
using namespace fuelring::test;
using doctest::Approx;

namespace {

Crs epsg(int code)
{
    return Crs::from_user_input("EPSG:" + std::to_string(code), "test");
}

} // namespace

TEST_CASE("a point comes back from another CRS to within a micrometre")
{
    set_up_gdal();
    const Reprojection there{epsg(utm32), Crs::wgs84()};
    const Reprojection back{Crs::wgs84(), epsg(utm32)};
    Point p{512'345.678, 5'539'000.125};
    REQUIRE(there.apply(p));
    CHECK(p.x == Approx(9.1716).epsilon(1e-4)); // longitude first, whatever EPSG says
    CHECK(p.y == Approx(50.0017).epsilon(1e-4));
    REQUIRE(back.apply(p));
    CHECK(std::abs(p.x - 512'345.678) < 1e-6);
    CHECK(std::abs(p.y - 5'539'000.125) < 1e-6);
}

TEST_CASE("a point that PROJ cannot place is reported, its neighbours are placed")
{
    set_up_gdal();
    const Reprojection to_mercator{Crs::wgs84(), epsg(3857)};
    std::vector<Point> points{{9, 50}, {9, 5000}, {9, 51}};
    CHECK_FALSE(to_mercator.apply(points));
    CHECK(std::isfinite(points[0].x));
    CHECK(std::isfinite(points[2].x));
    Point nan{std::nan(""), 50};
    CHECK_FALSE(to_mercator.apply(nan));
}

TEST_CASE("one operation serves all points, beyond its own area too, and leads back")
{
    set_up_gdal();
    const Reprojection there{epsg(2056), epsg(31287), GeoArea{9.47, 47.04, 9.64, 47.27}};
    const CoordinateOperation& operation = there.operation();
    CHECK(operation.name.find("CH1903+ to ETRS89 (1)") != std::string::npos);
    CHECK(operation.accuracy_m == 1.6); // 0.1 and 1.5 m, as EPSG states them
    CHECK_FALSE(operation.ballpark);
    CHECK(operation.in_words() == "by " + operation.name + " (stated accuracy 1.6 m)");
    // A hundred metres apart on both sides of 9.53 east, where the operation's area ends.
    std::vector<Point> places{{2'757'000, 1'220'000}, {2'757'100, 1'220'000}};
    for (int k = 2; k < 40; ++k)
        places.push_back({2'757'000 + 100.0 * k, 1'220'000});
    std::vector<Point> moved = places;
    REQUIRE(there.apply(moved));
    for (std::size_t k = 1; k < moved.size(); ++k) {
        const Point step = moved[k] - moved[k - 1];
        CHECK(std::hypot(step.x, step.y) == Approx(100).epsilon(0.001));
    }
    REQUIRE(there.inverse().apply(moved));
    for (std::size_t k = 0; k < moved.size(); ++k) {
        const Point gap = moved[k] - places[k];
        CHECK(std::hypot(gap.x, gap.y) < 0.01); // Helmert's inverse is not exact
    }
}

TEST_CASE("an operation says how good it is, and what would be better")
{
    set_up_gdal();
    const GeoArea cape{18.3, -34.1, 18.7, -33.8};
    CHECK(Reprojection{epsg(utm32), epsg(utm32)}.operation().none());
    CHECK(Reprojection{epsg(utm32), Crs::wgs84()}.operation().accuracy_m == 0);
    CHECK(Reprojection{epsg(22279), epsg(4326), cape}.operation().accuracy_m == 9);
    const CoordinateOperation ballpark =
        Reprojection{epsg(26710), epsg(26910), GeoArea{-122.6, 48.9, -122.3, 49.1}}.operation();
    CHECK(ballpark.ballpark); // without the grids of NAD27, which Debian does not install
    CHECK(ballpark.with_grids.find("(0.15 m; ") != std::string::npos);
}

TEST_CASE("layers are refused by the accuracy that is asked for, and warned of")
{
    set_up_gdal();
    const GeoArea cape{18.3, -34.1, 18.7, -33.8};
    LayerCrs layer{"inputs.parcels", "parcels.gpkg", epsg(22279), "",
                   Reprojection{epsg(22279), epsg(32734), cape}.operation()};
    Warnings warnings;
    const Error e =
        error_of([&] { judge_operations({layer}, 5, "inputs.reprojected_within_m", warnings); });
    CHECK(e.kind() == Failure::input);
    CHECK(e.where() == "parcels.gpkg");
    CHECK(
        e.message().find("inputs.parcels: places come into the raster's system within 9 m only") !=
        std::string::npos);
    CHECK(e.remedy().find("inputs.reprojected_within_m = 9") != std::string::npos);
    judge_operations({layer}, 9, "inputs.reprojected_within_m", warnings);
    CHECK(warnings.empty());
    layer.operation =
        Reprojection{epsg(26710), epsg(26910), GeoArea{-122.6, 48.9, -122.3, 49.1}}.operation();
    judge_operations({layer}, 5, "inputs.reprojected_within_m", warnings);
    REQUIRE(warnings.size() == 2);
    CHECK(warnings[0].key == "ballpark_operations");
    CHECK(warnings[1].key == "grids_missing");
}

TEST_CASE("rough degrees count from Greenwich, whatever the CRS counts from and in")
{
    set_up_gdal();
    const RoughDegrees paris{epsg(27572)}; // grads from Paris
    Point p{600'000, 2'200'000};           // the grid's own origin: 0 and 52 grads
    REQUIRE(paris.to_degrees(p));
    CHECK(p.x == Approx(2.33722917).epsilon(1e-8));
    CHECK(p.y == Approx(46.8).epsilon(1e-9));
    REQUIRE(paris.to_place(p));
    CHECK(p.x == Approx(600'000).epsilon(1e-9));
    CHECK(p.y == Approx(2'200'000).epsilon(1e-9));
}

TEST_CASE("an area is the smallest box around its places, over the 180th meridian too")
{
    CHECK(area_around({{9.474, 47.05}, {9.631, 47.268}}) == GeoArea{9.47, 47.05, 9.64, 47.27});
    const GeoArea fiji = area_around({{179.5, -17}, {-179.5, -18}, {179.9, -17.5}});
    CHECK(fiji == GeoArea{179.5, -18, -179.5, -17});
    CHECK(fiji.holds({180, -17.5}));
    CHECK(fiji.holds({-179.8, -17.5}));
    CHECK_FALSE(fiji.holds({0, -17.5}));
}

TEST_CASE("a CRS says its name and code, and whether it is metric")
{
    set_up_gdal();
    CHECK(epsg(utm32).name() == "WGS 84 / UTM zone 32N (EPSG:32632)");
    CHECK(epsg(utm32).geographic().name() == "WGS 84 (EPSG:4326)");
    CHECK_THROWS_AS(Crs{}.geographic(), Error);
    CHECK(Crs{}.empty());
    CHECK(Crs{}.name() == "none");
    CHECK(Crs::from_wkt(epsg(utm32).wkt()).same_as(epsg(utm32)));
    CHECK_FALSE(epsg(utm32).same_as(epsg(32633)));
    CHECK_FALSE(epsg(utm32).same_as(Crs{}));
    // A compound system is its horizontal part: heights do not matter here.
    CHECK(Crs::from_user_input("EPSG:25832+7837", "test").same_as(epsg(25832)));
}

TEST_CASE("a CRS that is none is refused with the key that names it")
{
    set_up_gdal();
    const Error e = error_of([] { Crs::from_user_input("EPSG:31", "inputs.structures.crs"); });
    CHECK(e.kind() == Failure::usage);
    CHECK(e.where() == "inputs.structures.crs");
    CHECK(e.message().find("'EPSG:31' is not a coordinate reference system") != std::string::npos);
    CHECK(error_of([] { Crs::from_wkt("PROJCS[nonsense"); }).kind() == Failure::input);
}
