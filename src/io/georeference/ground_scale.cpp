// SPDX-License-Identifier: Apache-2.0

// What a step on the map is on the ground is found by a geodesic between its two ends. Two such
// steps, along the axes of the grid, are the columns of a matrix that says all, in metres of ground
// per unit: scales are the inverses of its columns' lengths along the axes, of its determinant for
// areas, and of its singular values for the extremes over all directions.
#include "io/georeference/ground_scale.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace fuelring {

namespace {

constexpr double degree = std::numbers::pi / 180;

} // namespace

std::vector<Point> lattice_in(const Box& box, int steps)
{
    std::vector<Point> points;
    for (int i = 0; i <= steps; ++i)
        for (int j = 0; j <= steps; ++j)
            points.push_back({box.min.x + (box.max.x - box.min.x) * i / steps,
                              box.min.y + (box.max.y - box.min.y) * j / steps});
    return points;
}

GridAxes axes_of(const Grid& grid)
{
    return {grid.along_cols(), grid.against_rows()};
}

ScaleMeter::ScaleMeter(const Crs& crs, GridAxes axes)
    : axes_{axes}, to_geographic_{crs, crs.geographic()}, name_{crs.name()},
      degrees_per_unit_{crs.geographic().srs().GetAngularUnits(nullptr) / degree}
{
    const double inverse = crs.srs().GetInvFlattening();
    const double radius_m = crs.srs().GetSemiMajor();
    geod_init(&ellipsoid_, radius_m, inverse > 0 ? 1 / inverse : 0);
    const double unit_m = crs.srs().IsGeographic() ? radius_m * degree * degrees_per_unit_
                                                   : crs.srs().GetLinearUnits(nullptr);
    half_step_ = 50 / unit_m;
}

Point ScaleMeter::ground_step(Point p, Point direction) const
{
    Point from = p - half_step_ * direction;
    Point to = p + half_step_ * direction;
    if (!to_geographic_.apply(from) || !to_geographic_.apply(to))
        throw Error{
            Failure::input,
            fmt::format("({:.6g}, {:.6g}) cannot be placed on the ground in {}", p.x, p.y, name_)};
    double length_m = 0;
    double azimuth1 = 0;
    double azimuth2 = 0;
    geod_inverse(&ellipsoid_, from.y * degrees_per_unit_, from.x * degrees_per_unit_,
                 to.y * degrees_per_unit_, to.x * degrees_per_unit_, &length_m, &azimuth1,
                 &azimuth2);
    // The azimuth in the middle of the geodesic is the mean of those at its ends, so the difference
    // is central, as the length is.
    double turn = azimuth2 - azimuth1; // small, but for the jump at 180 degrees
    turn -= 360 * std::round(turn / 360);
    const double azimuth = (azimuth1 + turn / 2) * degree;
    const double k = length_m / (2 * half_step_);
    return {k * std::sin(azimuth), k * std::cos(azimuth)};
}

ScaleMeter::Reading ScaleMeter::at(Point p) const
{
    const Point u = ground_step(p, axes_.x);
    const Point v = ground_step(p, axes_.y);
    const double u_m = std::hypot(u.x, u.y);
    const double v_m = std::hypot(v.x, v.y);
    const double area_m2 = std::abs(cross(u, v));
    if (!(area_m2 > 0) || !std::isfinite(area_m2))
        throw Error{
            Failure::input,
            fmt::format("({:.6g}, {:.6g}) cannot be placed on the ground in {}", p.x, p.y, name_)};
    // The singular values of the matrix (u v) are the extremes over all directions.
    const double sum = std::hypot(u.x + v.y, v.x - u.y);
    const double difference = std::hypot(u.x - v.y, v.x + u.y);
    return {{1 / u_m, 1 / v_m},
            dot(u, v) / (u_m * v_m),
            2 / (sum + difference),
            2 / std::abs(sum - difference),
            1 / area_m2};
}

Point true_north(double lon_deg, double lat_deg, const Reprojection& from_wgs84)
{
    constexpr double step_deg = 1e-4; // about ten metres: a meridian is straight over them
    Point here{lon_deg, lat_deg};
    Point there{lon_deg, std::min(lat_deg + step_deg, 90.0)};
    if (!from_wgs84.apply(here) || !from_wgs84.apply(there) || here == there)
        return {0, 1};
    const Point d = there - here;
    return (1 / std::hypot(d.x, d.y)) * d;
}

double MapScale::worst_error() const
{
    return std::max(std::abs(smallest - 1), std::abs(largest - 1));
}

MapScale map_scale(const Crs& crs, const Box& area, GridAxes axes)
{
    const ScaleMeter meter{crs, axes};
    MapScale scale{HUGE_VAL, 0, HUGE_VAL, 0, 0};
    for (const Point p : lattice_in(area, 8)) {
        const ScaleMeter::Reading at = meter.at(p);
        scale.smallest = std::min(scale.smallest, at.smallest);
        scale.largest = std::max(scale.largest, at.largest);
        scale.smallest_areal = std::min(scale.smallest_areal, at.areal);
        scale.largest_areal = std::max(scale.largest_areal, at.areal);
        scale.worst_skew = std::max(scale.worst_skew, std::abs(at.skew));
    }
    return scale;
}

} // namespace fuelring
