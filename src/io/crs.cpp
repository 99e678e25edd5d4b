// SPDX-License-Identifier: Apache-2.0
#include "io/crs.hpp"

#include "io/gdal_handles.hpp"

#include <fuelring/error.hpp>

#include <cpl_error.h>
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

std::string last_reason()
{
    const std::string reason = CPLGetLastErrorMsg();
    return reason.empty() ? "PROJ gives no reason" : reason;
}

} // namespace

Crs Crs::from_user_input(const std::string& text, const std::string& where)
{
    OGRSpatialReference srs;
    CPLErrorReset();
    if (srs.SetFromUserInput(text.c_str(), OGRSpatialReference::SET_FROM_USER_INPUT_LIMITATIONS) !=
        OGRERR_NONE)
        throw Error{Failure::usage,
                    fmt::format("'{}' is no coordinate reference system: {}", text, last_reason()),
                    where, "give a code such as EPSG:32632, or WKT"};
    return from_srs(srs);
}

Crs Crs::from_wkt(const std::string& wkt)
{
    OGRSpatialReference srs;
    CPLErrorReset();
    if (srs.importFromWkt(wkt.c_str()) != OGRERR_NONE)
        throw Error{Failure::input, "no WKT of a coordinate reference system: " + last_reason()};
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

struct Reprojection::Impl {
    std::unique_ptr<OGRCoordinateTransformation> transform; ///< none between equal CRSs
};

Reprojection::Reprojection(const Crs& from, const Crs& to) : impl_{std::make_unique<Impl>()}
{
    if (from.same_as(to))
        return;
    CPLErrorReset();
    impl_->transform.reset(OGRCreateCoordinateTransformation(&from.srs(), &to.srs()));
    if (!impl_->transform)
        throw Error{Failure::input,
                    fmt::format("no way from {} to {}: {}", from.name(), to.name(), last_reason())};
}

Reprojection::~Reprojection() = default;
Reprojection::Reprojection(Reprojection&&) noexcept = default;

bool Reprojection::apply(Point& p) const
{
    return apply(&p.x, &p.y, 1);
}

bool Reprojection::apply(double* x, double* y, std::size_t n) const
{
    // The return value only says whether every point went through; the coordinates say which.
    constexpr std::size_t most_at_once = 1U << 20; // PROJ counts in int
    for (std::size_t done = 0; impl_->transform && done < n; done += most_at_once)
        impl_->transform->Transform(static_cast<int>(std::min(most_at_once, n - done)), x + done,
                                    y + done);
    const auto finite = [](double v) { return std::isfinite(v); };
    return std::all_of(x, x + n, finite) && std::all_of(y, y + n, finite);
}

bool Reprojection::apply(std::span<Point> points) const
{
    const auto finite = [](Point p) { return std::isfinite(p.x) && std::isfinite(p.y); };
    if (impl_->transform) {
        std::vector<double> x(points.size());
        std::vector<double> y(points.size());
        for (std::size_t k = 0; k < points.size(); ++k) {
            x[k] = points[k].x;
            y[k] = points[k].y;
        }
        apply(x.data(), y.data(), points.size());
        for (std::size_t k = 0; k < points.size(); ++k)
            points[k] = {x[k], y[k]};
    }
    return std::all_of(points.begin(), points.end(), finite);
}

} // namespace fuelring
