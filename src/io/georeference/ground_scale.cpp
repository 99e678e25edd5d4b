// SPDX-License-Identifier: Apache-2.0
#include "io/georeference/ground_scale.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

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
      degrees_per_unit_{crs.geographic().srs().GetAngularUnits(nullptr) / degree},
      ellipsoid_{crs.srs().GetSemiMajor(), std::max(crs.srs().GetInvFlattening(), 0.0)},
      metres_per_unit_{crs.srs().IsGeographic()
                           ? ellipsoid_.semi_major_m * degree * degrees_per_unit_
                           : crs.srs().GetLinearUnits(nullptr)}
{}

ScaleAtPlace ScaleMeter::at(Point p) const
{
    if (!std::isfinite(p.x) || !std::isfinite(p.y))
        throw Error{
            Failure::input,
            fmt::format("({:.6g}, {:.6g}) cannot be placed on the ground in {}", p.x, p.y, name_)};
    const auto place_of = [this](Point map) -> std::optional<GeographicPlace> {
        if (!to_geographic_.apply(map))
            return std::nullopt;
        return GeographicPlace{map.x * degrees_per_unit_, map.y * degrees_per_unit_};
    };
    try {
        return map_scale_at({place_of, ellipsoid_, metres_per_unit_}, p, axes_.x, axes_.y);
    } catch (const Error& e) {
        throw Error{e.kind(), fmt::format("{} in {}", e.what(), name_)};
    }
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
        const ScaleAtPlace at = meter.at(p);
        scale.smallest = std::min(scale.smallest, at.smallest);
        scale.largest = std::max(scale.largest, at.largest);
        scale.smallest_areal = std::min(scale.smallest_areal, at.areal);
        scale.largest_areal = std::max(scale.largest_areal, at.areal);
        scale.worst_skew = std::max(scale.worst_skew, std::abs(at.skew));
    }
    return scale;
}

} // namespace fuelring
