// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

#include <cstddef>
#include <memory>
#include <span>
#include <string>

class OGRSpatialReference;

namespace fuelring {

/// A coordinate reference system, axes in the order x (east), y (north). Copies share.
class Crs {
public:
    Crs() = default;
    /// From anything GDAL understands (EPSG:32632, WKT, PROJ string), heights left out.
    /// Throws: Error{usage} naming `where` (a key of the configuration).
    static Crs from_user_input(const std::string& text, const std::string& where);
    /// Throws: Error{input} when the text is no WKT of a CRS.
    static Crs from_wkt(const std::string& wkt);
    /// A copy of what GDAL found in a file, heights left out.
    static Crs from_srs(const OGRSpatialReference& srs);
    static Crs wgs84();

    bool empty() const { return !srs_; }
    /// True where coordinates mean the same, whatever the CRS is called.
    bool same_as(const Crs& other) const;
    std::string wkt() const;  ///< WKT2
    std::string name() const; ///< in words: "WGS 84 / UTM zone 32N (EPSG:32632)"
    bool is_projected_metric() const;
    const OGRSpatialReference& srs() const { return *srs_; }

private:
    std::shared_ptr<const OGRSpatialReference> srs_;
};

/// How far distances and areas of a CRS are off the ground over a study area.
struct MapScale {
    double smallest = 1; ///< of the linear scales at the corners and the middle, all directions
    double largest = 1;
    double worst_error() const; ///< largest of |scale - 1|
};

/// Grid figures stand where no distance is off by more than this (DESIGN: 0.1 per cent).
inline constexpr double largest_scale_error = 0.001;

/// Scales of a projected metric CRS over a box of its coordinates, against geodesics on its own
/// ellipsoid: PROJ's factors would not do, those of Web Mercator are of a sphere.
/// Throws: Error{input} when a corner is no place on the ground.
MapScale map_scale(const Crs& crs, const Box& area);

/// Points from one CRS to another by PROJ. Not for use by several threads at once.
class Reprojection {
public:
    /// Throws: Error{input} when PROJ knows no way.
    Reprojection(const Crs& from, const Crs& to);
    ~Reprojection();
    Reprojection(Reprojection&&) noexcept;

    /// False where PROJ gives nothing finite.
    bool apply(Point& p) const;
    bool apply(double* x, double* y, std::size_t n) const;
    bool apply(std::span<Point> points) const;

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

} // namespace fuelring
