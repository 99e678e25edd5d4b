// SPDX-License-Identifier: Apache-2.0
#include "io/crs.hpp"

#include "io/gdal_handles.hpp"

#include <fuelring/error.hpp>

#include <cpl_error.h>
#include <fmt/format.h>
#include <geodesic.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <cmath>
#include <numbers>
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

bool Crs::is_projected_metric() const
{
    return !empty() && srs_->IsProjected() && srs_->GetLinearUnits(nullptr) == 1.0;
}

double MapScale::worst_error() const
{
    return std::max(std::abs(smallest - 1), std::abs(largest - 1));
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

namespace {

/// Length and direction on the ground of a short step of the grid.
struct GroundStep {
    double east = 0;
    double north = 0;
};

/// Scales at points of one CRS.
class ScaleMeter {
public:
    explicit ScaleMeter(const Crs& crs) : to_degrees_{crs, geographic(crs)}, name_{crs.name()}
    {
        const double inverse = crs.srs().GetInvFlattening();
        geod_init(&ellipsoid_, crs.srs().GetSemiMajor(), inverse > 0 ? 1 / inverse : 0);
    }

    /// Widens `scale` by the largest and smallest scale at `p`. The singular values of the
    /// matrix that takes grid steps to ground steps are the extremes over all directions.
    void measure(Point p, MapScale& scale) const
    {
        const GroundStep u = step(p, {1, 0});
        const GroundStep v = step(p, {0, 1});
        const double sum = std::hypot(u.east + v.north, u.north - v.east);
        const double difference = std::hypot(u.east - v.north, u.north + v.east);
        const double longest = (sum + difference) / 2;
        const double shortest = std::abs(sum - difference) / 2;
        scale.smallest = std::min(scale.smallest, 1 / longest);
        scale.largest = std::max(scale.largest, 1 / shortest);
    }

private:
    static Crs geographic(const Crs& crs)
    {
        const std::unique_ptr<OGRSpatialReference> srs{crs.srs().CloneGeogCS()};
        if (!srs)
            throw Error{Failure::input, crs.name() + " rests on no geographic system"};
        return Crs::from_srs(*srs);
    }

    /// Ground metres per grid metre along `direction`, by a central difference over 100 m:
    /// its error is below 1e-10 on any grid that has a scale near 1.
    GroundStep step(Point p, Point direction) const
    {
        constexpr double half_m = 50;
        Point from = p - half_m * direction;
        Point to = p + half_m * direction;
        if (!to_degrees_.apply(from) || !to_degrees_.apply(to))
            throw Error{
                Failure::input,
                fmt::format("({:.0f}, {:.0f}) is no place on the ground in {}", p.x, p.y, name_)};
        double length_m = 0;
        double azimuth1 = 0;
        double azimuth2 = 0;
        geod_inverse(&ellipsoid_, from.y, from.x, to.y, to.x, &length_m, &azimuth1, &azimuth2);
        double turn = azimuth2 - azimuth1; // small, but for the jump at 180 degrees
        turn -= 360 * std::round(turn / 360);
        const double azimuth = (azimuth1 + turn / 2) * std::numbers::pi / 180;
        const double k = length_m / (2 * half_m);
        return {k * std::sin(azimuth), k * std::cos(azimuth)};
    }

    geod_geodesic ellipsoid_{};
    Reprojection to_degrees_;
    std::string name_;
};

} // namespace

MapScale map_scale(const Crs& crs, const Box& area)
{
    const ScaleMeter meter{crs};
    const Point middle = 0.5 * (area.min + area.max);
    MapScale scale{.smallest = HUGE_VAL, .largest = 0};
    for (const Point p :
         {middle, area.min, area.max, Point{area.min.x, area.max.y}, Point{area.max.x, area.min.y}})
        meter.measure(p, scale);
    return scale;
}

} // namespace fuelring
