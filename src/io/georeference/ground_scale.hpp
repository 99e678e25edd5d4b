// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/reprojection.hpp"

#include <fuelring/grid.hpp>
#include <fuelring/map_scale.hpp>

#include <memory>
#include <string>
#include <vector>

namespace fuelring {

/// Grid figures stand where no distance is off by more than this: 0.1 per cent.
inline constexpr double largest_scale_error = 0.001;

/// Places over a box, its sides and corners among them: (steps + 1) x (steps + 1).
/// Requires: steps is at least 1. Order: by x, then by y.
std::vector<Point> lattice_in(const Box& box, int steps);

/// The directions in which a grid counts its cells: unit vectors of the CRS at right angles.
struct GridAxes {
    Point x{1, 0};
    Point y{0, 1};
};
/// x along columns, y against rows: eastwards and northwards on a grid that is north up.
GridAxes axes_of(const Grid& grid);

/// Looks at the ground below a projected or geographic CRS, on its own ellipsoid (map_scale_at):
/// PROJ's factors would not do, those of Web Mercator are of a sphere. Not for several threads.
class ScaleMeter {
public:
    /// Throws: Error{input} where the CRS rests on no geographic system.
    explicit ScaleMeter(const Crs& crs, GridAxes axes = {});

    /// Along the axes of the grid. Throws: Error{input} where `p` is no place on the ground.
    ScaleAtPlace at(Point p) const;

private:
    GridAxes axes_;
    Reprojection to_geographic_;
    std::string name_;
    double degrees_per_unit_; ///< of the geographic system
    Ellipsoid ellipsoid_;
    double metres_per_unit_;
};

/// How far distances and areas of a CRS are off the ground over a study area.
struct MapScale {
    double smallest = 1; ///< of the linear scales, in all directions
    double largest = 1;
    double smallest_areal = 1;
    double largest_areal = 1;
    double worst_skew = 0;                                    ///< largest of |ScaleAtPlace::skew|
    double worst_error() const;                               ///< largest of |linear scale - 1|
    double error_if_scaled() const { return worst_skew / 2; } ///< of distances by LocalScale
};

/// Extremes over a box of coordinates, looked at in nine by nine places of it.
/// Throws: Error{input} when one of them is no place on the ground.
MapScale map_scale(const Crs& crs, const Box& area, GridAxes axes = {});

/// The scale that belongs to a place: 1 everywhere where grid figures stand.
class GroundScale {
public:
    GroundScale() = default;
    GroundScale(const Crs& crs, GridAxes axes) : meter_{std::make_shared<ScaleMeter>(crs, axes)} {}

    /// A function of the place alone. Throws: Error{input} where it is no place on the ground.
    LocalScale at(Point map) const { return meter_ ? meter_->at(map).along_axes : LocalScale{}; }
    bool varies() const { return meter_ != nullptr; }

private:
    std::shared_ptr<const ScaleMeter> meter_;
};

/// Where the meridian runs at a place, as a unit vector of the CRS that `from_wgs84` leads to; (0,
/// 1) where it has no such direction.
/// Law: of length 1.
Point true_north(double lon_deg, double lat_deg, const Reprojection& from_wgs84);

} // namespace fuelring
