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
    CHECK(e.message().find("'EPSG:31' is no coordinate reference system") != std::string::npos);
    CHECK(error_of([] { Crs::from_wkt("PROJCS[nonsense"); }).kind() == Failure::input);
}
