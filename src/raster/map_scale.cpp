// SPDX-License-Identifier: Apache-2.0

// A step of 100 m on the map, about the place, has two ends on the ellipsoid. In space their
// difference is the step on the ground: a chord, shorter than the curve by 1e-11 of it, and turned
// against the horizon by nothing, as it is central. Its parts to the east and to the north are a
// column of Tissot's matrix, in metres of ground per unit of the map. The difference of longitudes
// would do as well but for the poles and the line where they jump.
#include "geometry/require.hpp"

#include <fuelring/error.hpp>
#include <fuelring/map_scale.hpp>

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <numbers>

namespace fuelring {

namespace {

constexpr double half_step_m = 50;
constexpr double degree = std::numbers::pi / 180;

using Space = std::array<double, 3>; ///< metres from the middle of the ellipsoid

double dot(const Space& a, const Space& b)
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

Space in_space(const GeographicPlace& place, const Ellipsoid& body)
{
    const double f = body.inverse_flattening > 0 ? 1 / body.inverse_flattening : 0;
    const double e2 = f * (2 - f);
    const double sin_lat = std::sin(place.latitude_deg * degree);
    const double cos_lat = std::cos(place.latitude_deg * degree);
    const double normal_m = body.semi_major_m / std::sqrt(1 - e2 * sin_lat * sin_lat);
    return {normal_m * cos_lat * std::cos(place.longitude_deg * degree),
            normal_m * cos_lat * std::sin(place.longitude_deg * degree),
            normal_m * (1 - e2) * sin_lat};
}

[[noreturn]] void no_place(Point map)
{
    throw Error{Failure::input,
                fmt::format("({:.6g}, {:.6g}) cannot be placed on the ground", map.x, map.y)};
}

GeographicPlace place_of(const MapProjection& projection, Point map)
{
    const std::optional<GeographicPlace> place = projection.place_of(map);
    if (!place || !std::isfinite(place->longitude_deg) || !(std::abs(place->latitude_deg) <= 90.1))
        no_place(map);
    return *place;
}

void require_valid(const MapProjection& p, Point map, Point x_axis, Point y_axis)
{
    require(p.place_of != nullptr, "map_scale_at: there is no place_of");
    require(p.ellipsoid.semi_major_m > 0 && std::isfinite(p.ellipsoid.semi_major_m) &&
                (p.ellipsoid.inverse_flattening == 0 || p.ellipsoid.inverse_flattening > 1),
            "map_scale_at: the ellipsoid is none");
    require(p.metres_per_unit > 0 && std::isfinite(p.metres_per_unit),
            "map_scale_at: metres_per_unit is not above 0 and finite");
    require(std::isfinite(map.x) && std::isfinite(map.y), "map_scale_at: the place is not finite");
    for (const Point axis : {x_axis, y_axis})
        require(std::abs(axis.length() - 1) < 1e-6, "map_scale_at: an axis is not of length 1");
}

/// Metres of ground to the east (x) and to the north (y) for one unit along `direction`.
/// `middle`: the place of `map`.
Point ground_step(const MapProjection& projection, Point map, const GeographicPlace& middle,
                  Point direction)
{
    const double half_step = half_step_m / projection.metres_per_unit;
    const Space from =
        in_space(place_of(projection, map - half_step * direction), projection.ellipsoid);
    const Space to =
        in_space(place_of(projection, map + half_step * direction), projection.ellipsoid);
    const Space step{to[0] - from[0], to[1] - from[1], to[2] - from[2]};
    const double lon = middle.longitude_deg * degree;
    const double lat = middle.latitude_deg * degree;
    const Space east{-std::sin(lon), std::cos(lon), 0};
    const Space north{-std::sin(lat) * std::cos(lon), -std::sin(lat) * std::sin(lon),
                      std::cos(lat)};
    return (0.5 / half_step) * Point{dot(step, east), dot(step, north)};
}

} // namespace

ScaleAtPlace map_scale_at(const MapProjection& projection, Point map, Point x_axis, Point y_axis)
{
    require_valid(projection, map, x_axis, y_axis);
    const GeographicPlace middle = place_of(projection, map);
    const Point u = ground_step(projection, map, middle, x_axis);
    const Point v = ground_step(projection, map, middle, y_axis);
    const double u_m = std::hypot(u.x, u.y);
    const double v_m = std::hypot(v.x, v.y);
    const double area_m2 = std::abs(cross(u, v));
    if (!(area_m2 > 0) || !std::isfinite(area_m2))
        no_place(map);
    // The singular values of the matrix (u v) are the extremes over all directions.
    const double sum = std::hypot(u.x + v.y, v.x - u.y);
    const double difference = std::hypot(u.x - v.y, v.x + u.y);
    return {{1 / u_m, 1 / v_m},
            fuelring::dot(u, v) / (u_m * v_m),
            2 / (sum + difference),
            2 / std::abs(sum - difference),
            1 / area_m2};
}

Grid ground_grid(const Grid& grid, const MapProjection& projection, Point map)
{
    return grid.at_scale(
        map_scale_at(projection, map, grid.along_cols(), grid.against_rows()).along_axes);
}

} // namespace fuelring
