// SPDX-License-Identifier: Apache-2.0
#include "unit/library/refused.hpp"

#include <fuelring/map_scale.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace fuelring;
using namespace fuelring::test;
using doctest::Approx;

namespace {

constexpr double radius_m = 6'371'000;
constexpr double degree = std::numbers::pi / 180;

/// Mercator's map of a sphere.
MapProjection mercator()
{
    const auto place_of = [](Point map) {
        return GeographicPlace{map.x / radius_m / degree,
                               std::atan(std::sinh(map.y / radius_m)) / degree};
    };
    return {place_of, {radius_m, 0}, 1};
}

/// The sphere seen along its axis from far away (orthographic): y runs to longitude 180.
MapProjection polar_view()
{
    const auto place_of = [](Point map) -> std::optional<GeographicPlace> {
        const double rho = map.length() / radius_m;
        if (rho > 1)
            return std::nullopt;
        return GeographicPlace{std::atan2(map.x, -map.y) / degree, std::acos(rho) / degree};
    };
    return {place_of, {radius_m, 0}, 1};
}

} // namespace

TEST_CASE("Mercator's map is larger than the ground by the secant of the latitude")
{
    // Source: Snyder 1987, equation 7-1 and the scale beside it.
    for (const double latitude : {0.0, 35.0, -50.0, 75.0}) {
        CAPTURE(latitude);
        const double y = radius_m * std::asinh(std::tan(latitude * degree));
        const double secant = 1 / std::cos(latitude * degree);
        const ScaleAtPlace at = map_scale_at(mercator(), {2e6, y}, {0.6, 0.8}, {-0.8, 0.6});
        CHECK(at.along_axes.x == Approx(secant).epsilon(1e-9));
        CHECK(at.along_axes.y == Approx(secant).epsilon(1e-9));
        CHECK(at.smallest == Approx(secant).epsilon(1e-9));
        CHECK(at.largest == Approx(secant).epsilon(1e-9));
        CHECK(at.areal == Approx(secant * secant).epsilon(1e-9));
        CHECK(std::abs(at.skew) < 1e-9);
    }
}

TEST_CASE("a map that keeps no angles has a scale for each axis, at a pole as well")
{
    // Orthographic: along the parallel the map keeps lengths, along the meridian it shortens them
    // by the sine of the latitude (Snyder 1987, chapter 20); at the pole it keeps all.
    const ScaleAtPlace pole = map_scale_at(polar_view(), {0, 0});
    CHECK(pole.along_axes.x == Approx(1).epsilon(1e-9));
    CHECK(pole.along_axes.y == Approx(1).epsilon(1e-9));
    const ScaleAtPlace at = map_scale_at(polar_view(), {0, -radius_m * std::cos(40 * degree)});
    CHECK(at.along_axes.x == Approx(1).epsilon(1e-9));
    CHECK(at.along_axes.y == Approx(std::sin(40 * degree)).epsilon(1e-9));
    CHECK(at.areal == Approx(std::sin(40 * degree)).epsilon(1e-9));
}

TEST_CASE("degrees of WGS 84 have the two radii of curvature")
{
    const MapProjection degrees{[](Point map) {
                                    return GeographicPlace{map.x, map.y};
                                },
                                {},
                                111'320};
    const double e2 = 0.00669437999014;
    const double sine = std::sin(50 * degree);
    const double w2 = 1 - e2 * sine * sine;
    const ScaleAtPlace at = map_scale_at(degrees, {180, 50}); // where longitudes jump
    const double normal_m = 6'378'137 / std::sqrt(w2);
    CHECK(1 / at.along_axes.x == Approx(degree * normal_m * std::cos(50 * degree)).epsilon(1e-9));
    CHECK(1 / at.along_axes.y == Approx(degree * normal_m * (1 - e2) / w2).epsilon(1e-9));
    // A grid of 10 m cells on Mercator's map at 60 degrees has cells of 5 m on the ground.
    const double y = radius_m * std::asinh(std::tan(60 * degree));
    const Grid ground = ground_grid(Grid{{0, 10, 0, y, 0, -10}, 9, 9}, mercator(), {0, y});
    CHECK(ground.cell_width_m() == Approx(5).epsilon(1e-9));
    CHECK(ground.cell_height_m() == Approx(5).epsilon(1e-9));
}

TEST_CASE("the scale of a map asks for a place, axes, an ellipsoid and a unit")
{
    const auto at = [](MapProjection p, Point map, Point x = {1, 0}) {
        return [=] { (void)map_scale_at(p, map, x); };
    };
    MapProjection none = mercator();
    none.place_of = nullptr;
    MapProjection flat = mercator();
    flat.ellipsoid.inverse_flattening = 0.5;
    MapProjection unit = mercator();
    unit.metres_per_unit = not_a_number;
    const Refused rows[] = {
        {"no projection", at(none, {0, 0}), "there is no place_of"},
        {"no ellipsoid", at(flat, {0, 0}), "the ellipsoid is none"},
        {"no unit", at(unit, {0, 0}), "metres_per_unit"},
        {"NaN", at(mercator(), {not_a_number, 0}), "the place is not finite"},
        {"no axis", at(mercator(), {0, 0}, {0, 0}), "an axis is not of length 1"},
        {"off the earth", at(polar_view(), {2 * radius_m, 0}), "cannot be placed on the ground"},
        {"at its rim", at(polar_view(), {radius_m - 1, 0}), "cannot be placed on the ground"},
    };
    check_refused(rows);
}
