// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

#include <memory>
#include <optional>
#include <string>
#include <vector>

class OGRSpatialReference;

namespace fuelring {

/// A box of longitudes and latitudes in degrees from Greenwich; over the 180th meridian `west` is
/// the larger. It says where, not exactly: what it is used for needs no datum.
struct GeoArea {
    double west = -180;
    double south = -90;
    double east = 180;
    double north = 90;

    /// x is the longitude, from -180 to 180. Edges belong to it.
    bool holds(Point degrees) const;
    friend bool operator==(const GeoArea&, const GeoArea&) = default;
};
/// The smallest such box that holds all of them, each side rounded outwards to 0.01 degrees.
/// Requires: at least one, all finite.
GeoArea area_around(const std::vector<Point>& degrees);

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
    /// The order of axes of geographic systems does not matter. Two empty ones are the same.
    bool same_as(const Crs& other) const;
    std::string wkt() const;  ///< WKT2
    std::string name() const; ///< in words: "WGS 84 / UTM zone 32N (EPSG:32632)"
    /// The geographic system that it rests on, or that it is.
    /// Throws: Error{input} where there is none.
    Crs geographic() const;
    /// Where its authors mean it to be used; none where it does not say.
    std::optional<GeoArea> area_of_use() const;
    /// Requires: not empty.
    const OGRSpatialReference& srs() const { return *srs_; }

private:
    std::shared_ptr<const OGRSpatialReference> srs_;
};

} // namespace fuelring
