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
    /// The geographic system that it rests on, or that it is.
    /// Throws: Error{input} where there is none.
    Crs geographic() const;
    const OGRSpatialReference& srs() const { return *srs_; }

private:
    std::shared_ptr<const OGRSpatialReference> srs_;
};

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
