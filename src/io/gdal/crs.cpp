// SPDX-License-Identifier: Apache-2.0

// All that fuelring knows of a CRS, by GDAL's OGRSpatialReference. Two things are put right when
// one is made: the order of axes is x, y, and heights are left out.
#include "io/gdal/crs.hpp"

#include "io/gdal/errors.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace fuelring {

namespace {

/// Coordinates are kept as x, y whatever order an authority gives the axes; heights do not matter.
std::shared_ptr<const OGRSpatialReference> tidied(OGRSpatialReference srs)
{
    if (srs.IsCompound())
        srs.StripVertical();
    srs.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return std::make_shared<const OGRSpatialReference>(std::move(srs));
}

} // namespace

Crs Crs::from_user_input(const std::string& text, const std::string& where)
{
    OGRSpatialReference srs;
    CPLErrorReset();
    if (srs.SetFromUserInput(text.c_str(), OGRSpatialReference::SET_FROM_USER_INPUT_LIMITATIONS) !=
        OGRERR_NONE)
        throw Error{Failure::usage,
                    fmt::format("'{}' is not a coordinate reference system: {}", text,
                                gdal_reason("PROJ gives no reason")),
                    where, "give a code such as EPSG:32632, or WKT"};
    return from_srs(srs);
}

Crs Crs::from_wkt(const std::string& wkt)
{
    OGRSpatialReference srs;
    CPLErrorReset();
    if (srs.importFromWkt(wkt.c_str()) != OGRERR_NONE)
        throw Error{Failure::input, "no WKT of a coordinate reference system: " +
                                        gdal_reason("PROJ gives no reason")};
    return from_srs(srs);
}

Crs Crs::from_srs(const OGRSpatialReference& srs)
{
    Crs crs;
    crs.srs_ = tidied(srs);
    return crs;
}

Crs Crs::wgs84()
{
    OGRSpatialReference srs;
    srs.SetWellKnownGeogCS("WGS84");
    return from_srs(srs);
}

bool Crs::same_as(const Crs& other) const
{
    if (empty() || other.empty())
        return empty() && other.empty();
    const char* const options[] = {"IGNORE_DATA_AXIS_TO_SRS_AXIS_MAPPING=YES",
                                   "CRITERION=EQUIVALENT_EXCEPT_AXIS_ORDER_GEOGCRS", nullptr};
    return srs_->IsSame(other.srs_.get(), options) != 0;
}

std::string Crs::wkt() const
{
    if (empty())
        return {};
    char* text = nullptr;
    const char* const options[] = {"FORMAT=WKT2_2019", nullptr};
    srs_->exportToWkt(&text, options);
    const CplTextPtr owner{text};
    return text ? text : "";
}

std::string Crs::name() const
{
    if (empty())
        return "none";
    const char* name = srs_->GetName();
    const char* authority = srs_->GetAuthorityName(nullptr);
    const char* code = srs_->GetAuthorityCode(nullptr);
    const std::string words = name ? name : "unnamed";
    return authority && code ? fmt::format("{} ({}:{})", words, authority, code) : words;
}

Crs Crs::geographic() const
{
    const std::unique_ptr<OGRSpatialReference> srs{empty() ? nullptr : srs_->CloneGeogCS()};
    if (!srs)
        throw Error{Failure::input, name() + " rests on no geographic system"};
    return from_srs(*srs);
}

std::optional<GeoArea> Crs::area_of_use() const
{
    GeoArea area;
    if (empty() || !srs_->GetAreaOfUse(&area.west, &area.south, &area.east, &area.north, nullptr) ||
        area.west < -180) // GDAL's word for "not known"
        return std::nullopt;
    return area;
}

bool GeoArea::holds(Point degrees) const
{
    const bool in_longitude = west <= east ? degrees.x >= west && degrees.x <= east
                                           : degrees.x >= west || degrees.x <= east;
    return in_longitude && degrees.y >= south && degrees.y <= north;
}

GeoArea area_around(const std::vector<Point>& degrees)
{
    constexpr double rounding = 100; ///< per degree
    std::vector<double> longitudes;
    GeoArea area{0, 90, 0, -90};
    for (const Point p : degrees) {
        longitudes.push_back(std::remainder(p.x, 360.0));
        area.south = std::min(area.south, p.y);
        area.north = std::max(area.north, p.y);
    }
    std::sort(longitudes.begin(), longitudes.end());
    // The box leaves out the widest gap between neighbours, which may be the one over 180.
    area.west = longitudes.front();
    area.east = longitudes.back();
    double gap = area.west + 360 - area.east;
    for (std::size_t k = 1; k < longitudes.size(); ++k)
        if (longitudes[k] - longitudes[k - 1] > gap) {
            gap = longitudes[k] - longitudes[k - 1];
            area.west = longitudes[k];
            area.east = longitudes[k - 1];
        }
    return {std::floor(area.west * rounding) / rounding,
            std::max(std::floor(area.south * rounding) / rounding, -90.0),
            std::ceil(area.east * rounding) / rounding,
            std::min(std::ceil(area.north * rounding) / rounding, 90.0)};
}

} // namespace fuelring
