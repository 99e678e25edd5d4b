// SPDX-License-Identifier: Apache-2.0
#include "data_files.hpp"
#include "io/crs.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace fuelring;
using namespace fuelring::test;
using doctest::Approx;

namespace {

Crs epsg(int code)
{
    return Crs::from_user_input("EPSG:" + std::to_string(code), "test");
}

MapScale scale_at(const Crs& crs, Point degrees)
{
    Point p = degrees;
    REQUIRE(Reprojection{Crs::wgs84(), crs}.apply(p));
    return map_scale(crs, {p, p});
}

} // namespace

TEST_CASE("scale is 0.9996 on the central meridian of UTM and above 1 at the edge of the zone")
{
    set_up_gdal();
    // Source: definition of UTM; 3 degrees off at 50 N computed with PROJ's proj_factors.
    const MapScale middle = scale_at(epsg(utm32), {9, 50});
    CHECK(middle.smallest == Approx(0.9996).epsilon(1e-8));
    CHECK(middle.largest == Approx(0.9996).epsilon(1e-8));
    const MapScale edge = scale_at(epsg(utm32), {12, 50});
    CHECK(edge.largest == Approx(1.00016768).epsilon(1e-8));
    CHECK(edge.worst_error() == Approx(0.00016768).epsilon(1e-4));
}

TEST_CASE("scales of Web Mercator are those of the ellipsoid, not of a sphere")
{
    set_up_gdal();
    // East-west: sec(lat) a / N; north-south: sec(lat) a / M, with the radii of curvature N and M
    // of WGS 84 at 50 N.
    const double e2 = 0.00669437999014;
    const double sine = std::sin(50 * std::acos(-1.0) / 180);
    const double secant = 1 / std::sqrt(1 - sine * sine);
    const double w = std::sqrt(1 - e2 * sine * sine);
    const MapScale scale = scale_at(epsg(3857), {7, 50});
    CHECK(scale.smallest == Approx(secant * w).epsilon(1e-8));                   // 1.55266505
    CHECK(scale.largest == Approx(secant * w * w * w / (1 - e2)).epsilon(1e-8)); // 1.55698860
    CHECK(scale.smallest == Approx(1.55266505).epsilon(1e-8));
    CHECK(scale.largest == Approx(1.55698860).epsilon(1e-8));
}

TEST_CASE("the scale over an area is that of its worst corner")
{
    set_up_gdal();
    const Crs utm = epsg(utm32);
    const MapScale scale = map_scale(utm, {{500'000, 5'500'000}, {714'000, 5'550'000}});
    CHECK(scale.smallest == Approx(0.9996).epsilon(1e-8));
    CHECK(scale.largest > 1.0001);
    CHECK_THROWS_AS(map_scale(utm, {{1e12, 1e12}, {1e12, 1e12}}), Error);
}

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
    double x[] = {9, 9, 9};
    double y[] = {50, 5000, 51};
    CHECK_FALSE(to_mercator.apply(x, y, 3));
    CHECK(std::isfinite(x[0]));
    CHECK(std::isfinite(x[2]));
    Point nan{std::nan(""), 50};
    CHECK_FALSE(to_mercator.apply(nan));
}

TEST_CASE("a CRS says its name and code, and whether it is metric")
{
    set_up_gdal();
    CHECK(epsg(utm32).name() == "WGS 84 / UTM zone 32N (EPSG:32632)");
    CHECK(epsg(utm32).is_projected_metric());
    CHECK_FALSE(epsg(4326).is_projected_metric());
    CHECK_FALSE(epsg(2263).is_projected_metric()); // feet
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
    CHECK(e.message().find("'EPSG:31' is no coordinate reference system") != std::string::npos);
    CHECK(error_of([] { Crs::from_wkt("PROJCS[nonsense"); }).kind() == Failure::input);
}
