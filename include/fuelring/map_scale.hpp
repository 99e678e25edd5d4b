// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/export.hpp>
#include <fuelring/grid.hpp>

#include <functional>
#include <optional>

namespace fuelring {

/// A place on the ellipsoid, in degrees to the east and to the north.
struct GeographicPlace {
    double longitude_deg = 0;
    double latitude_deg = 0;
};

/// The body that longitudes and latitudes are on; WGS 84 unless it is told otherwise.
struct Ellipsoid {
    double semi_major_m = 6'378'137;
    double inverse_flattening = 298.257'223'563; ///< 0: a sphere
};

/// Coordinates of a CRS and how they lead to the ground: what any library of projections gives.
struct MapProjection {
    /// The place of a point of the map; empty where there is none.
    std::function<std::optional<GeographicPlace>(Point map)> place_of;
    Ellipsoid ellipsoid{};
    /// About: the scale is taken over 100 m. 0.3048 for feet, 111,320 for degrees.
    double metres_per_unit = 1;
};

/// What a map does to the ground at one place. Scales are units of the CRS per metre of ground.
struct ScaleAtPlace {
    LocalScale along_axes; ///< for Grid::at_scale
    /// Cosine of the angle between the axes on the ground: distances taken by `along_axes` are off
    /// by half of it at most. 0 on conformal maps.
    double skew = 0;
    double smallest = 1; ///< of the scales in all directions
    double largest = 1;
    double areal = 1; ///< square units of the CRS per square metre of ground
};

/// The scale of a map at a place, for a CRS of any kind, found by where the projection puts the
/// ground: conformal or not, national grids, Web Mercator, degrees, at the poles, too.
/// `x_axis`, `y_axis`: directions in which the grid counts its cells, unit vectors of the CRS at
/// right angles.
/// Law: within 1e-9 of the closed form where there is one, if `place_of` is good to 1e-8 m.
/// Throws: Error{input} where a point within 50 m of the place has no place on the ground;
/// std::invalid_argument for a point or axes that are not finite, an ellipsoid or a unit that is
/// none, and without a `place_of`.
/// Source: Snyder 1987, Map Projections: A Working Manual, on Tissot's indicatrix; the columns of
/// its matrix by central differences in space.
FUELRING_EXPORT ScaleAtPlace map_scale_at(const MapProjection& projection, Point map,
                                          Point x_axis = {1, 0}, Point y_axis = {0, 1});

/// The grid as `measure` wants it for a structure at `map`: frames, cells and areas in metres of
/// the ground. Throws: as map_scale_at and Grid::at_scale.
FUELRING_EXPORT Grid ground_grid(const Grid& grid, const MapProjection& projection, Point map);

} // namespace fuelring
