// SPDX-License-Identifier: Apache-2.0
#include "io/georeference/ground_scale.hpp"

#include "io/gdal/reprojection.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <geodesic.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace fuelring {

namespace {

constexpr double degree = std::numbers::pi / 180;

} // namespace

GridAxes axes_of(const Grid& grid)
{
    return {grid.along_cols(), grid.against_rows()};
}

struct ScaleMeter::Impl {
    Impl(const Crs& crs, GridAxes grid_axes)
        : axes{grid_axes}, to_geographic{crs, crs.geographic()}, name{crs.name()}
    {
        const double inverse = crs.srs().GetInvFlattening();
        const double radius_m = crs.srs().GetSemiMajor();
        geod_init(&ellipsoid, radius_m, inverse > 0 ? 1 / inverse : 0);
        degrees_per_unit = crs.geographic().srs().GetAngularUnits(nullptr) / degree;
        const double unit_m = crs.srs().IsGeographic() ? radius_m * degree * degrees_per_unit
                                                       : crs.srs().GetLinearUnits(nullptr);
        half_step = 50 / unit_m;
    }

    /// What a step of one unit along `direction` is on the ground, in metres to the east (x) and
    /// to the north (y). A central difference over 100 m, whose error is below 1e-10 wherever the
    /// scale is of the order of 1.
    Point ground_step(Point p, Point direction) const
    {
        Point from = p - half_step * direction;
        Point to = p + half_step * direction;
        if (!to_geographic.apply(from) || !to_geographic.apply(to))
            throw Error{Failure::input,
                        fmt::format("({:.6g}, {:.6g}) cannot be placed on the ground in {}", p.x,
                                    p.y, name)};
        double length_m = 0;
        double azimuth1 = 0;
        double azimuth2 = 0;
        geod_inverse(&ellipsoid, from.y * degrees_per_unit, from.x * degrees_per_unit,
                     to.y * degrees_per_unit, to.x * degrees_per_unit, &length_m, &azimuth1,
                     &azimuth2);
        double turn = azimuth2 - azimuth1; // small, but for the jump at 180 degrees
        turn -= 360 * std::round(turn / 360);
        const double azimuth = (azimuth1 + turn / 2) * degree;
        const double k = length_m / (2 * half_step);
        return {k * std::sin(azimuth), k * std::cos(azimuth)};
    }

    GridAxes axes;
    geod_geodesic ellipsoid{};
    Reprojection to_geographic;
    std::string name;
    double degrees_per_unit = 1; ///< of the geographic system
    double half_step = 50;
};

ScaleMeter::ScaleMeter(const Crs& crs, GridAxes axes) : impl_{std::make_unique<Impl>(crs, axes)} {}
ScaleMeter::~ScaleMeter() = default;
ScaleMeter::ScaleMeter(ScaleMeter&&) noexcept = default;

ScaleMeter::Reading ScaleMeter::at(Point p) const
{
    const Point u = impl_->ground_step(p, impl_->axes.x);
    const Point v = impl_->ground_step(p, impl_->axes.y);
    const double u_m = std::hypot(u.x, u.y);
    const double v_m = std::hypot(v.x, v.y);
    const double area_m2 = std::abs(cross(u, v));
    if (!(area_m2 > 0) || !std::isfinite(area_m2))
        throw Error{Failure::input,
                    fmt::format("({:.6g}, {:.6g}) cannot be placed on the ground in {}", p.x, p.y,
                                impl_->name)};
    // The singular values of the matrix (u v) are the extremes over all directions.
    const double sum = std::hypot(u.x + v.y, v.x - u.y);
    const double difference = std::hypot(u.x - v.y, v.x + u.y);
    return {{1 / u_m, 1 / v_m},
            dot(u, v) / (u_m * v_m),
            2 / (sum + difference),
            2 / std::abs(sum - difference),
            1 / area_m2};
}

double MapScale::worst_error() const
{
    return std::max(std::abs(smallest - 1), std::abs(largest - 1));
}

MapScale map_scale(const Crs& crs, const Box& area, GridAxes axes)
{
    constexpr int steps = 8;
    const ScaleMeter meter{crs, axes};
    MapScale scale{HUGE_VAL, 0, HUGE_VAL, 0, 0};
    for (int i = 0; i <= steps; ++i)
        for (int j = 0; j <= steps; ++j) {
            const double s = static_cast<double>(i) / steps;
            const double t = static_cast<double>(j) / steps;
            const ScaleMeter::Reading at = meter.at({area.min.x + s * (area.max.x - area.min.x),
                                                     area.min.y + t * (area.max.y - area.min.y)});
            scale.smallest = std::min(scale.smallest, at.smallest);
            scale.largest = std::max(scale.largest, at.largest);
            scale.smallest_areal = std::min(scale.smallest_areal, at.areal);
            scale.largest_areal = std::max(scale.largest_areal, at.areal);
            scale.worst_skew = std::max(scale.worst_skew, std::abs(at.skew));
        }
    return scale;
}

} // namespace fuelring
