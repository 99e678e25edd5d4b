// SPDX-License-Identifier: Apache-2.0
#include "io/gdal/reprojection.hpp"

#include "io/gdal/operation_choice.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <array>
#include <cmath>
#include <cstdlib>
#include <numbers>
#include <utility>
#include <vector>

namespace fuelring {

namespace {

constexpr double most_longitude = 540; ///< files count from 0 to 360, or a little over 180
constexpr double degree = std::numbers::pi / 180;

/// Where x and y stand among the axes of a CRS as PROJ has it: 1 or 2, negative where turned.
std::array<int, 2> axes_of_data(const Crs& crs)
{
    const std::vector<int>& mapping = crs.srs().GetDataAxisToSRSAxisMapping();
    return mapping.size() < 2 ? std::array{1, 2} : std::array{mapping[0], mapping[1]};
}

std::array<double, 2> to_axes(Point p, const std::array<int, 2>& axes)
{
    std::array<double, 2> on_axes{};
    const double data[] = {p.x, p.y};
    for (std::size_t k = 0; k < 2; ++k)
        on_axes.at(static_cast<std::size_t>(std::abs(axes[k]) - 1)) =
            axes[k] < 0 ? -data[k] : data[k];
    return on_axes;
}

Point from_axes(const std::array<double, 2>& on_axes, const std::array<int, 2>& axes)
{
    const auto value = [&](std::size_t k) {
        const double v = on_axes.at(static_cast<std::size_t>(std::abs(axes[k]) - 1));
        return axes[k] < 0 ? -v : v;
    };
    return {value(0), value(1)};
}

} // namespace

struct Reprojection::Impl {
    CoordinateOperation operation;
    std::array<int, 2> from_axes{1, 2};
    std::array<int, 2> to_axes{1, 2};
    bool backwards = false;
    ContextPtr context{};
    PjPtr transform{}; ///< none between equal CRSs

    void open()
    {
        if (operation.none())
            return;
        context = quiet_context();
        transform.reset(proj_create(context.get(), operation.pipeline.c_str()));
        if (!transform)
            throw Error{Failure::input,
                        fmt::format("PROJ cannot do {}: {}", operation.name,
                                    proj_context_errno_string(context.get(),
                                                              proj_context_errno(context.get())))};
    }

    std::unique_ptr<Impl> copy() const
    {
        auto other = std::make_unique<Impl>(Impl{operation, from_axes, to_axes, backwards});
        other->open();
        return other;
    }

    Point map(Point p) const
    {
        const auto on_axes = fuelring::to_axes(p, backwards ? to_axes : from_axes);
        const PJ_COORD moved = proj_trans(transform.get(), backwards ? PJ_INV : PJ_FWD,
                                          proj_coord(on_axes[0], on_axes[1], 0, HUGE_VAL));
        return fuelring::from_axes({moved.xy.x, moved.xy.y}, backwards ? from_axes : to_axes);
    }
};

Reprojection::Reprojection(const Crs& from, const Crs& to, const std::optional<GeoArea>& area)
    : impl_{std::make_unique<Impl>()}
{
    if (from.same_as(to))
        return;
    impl_->operation = choose_operation(from, to, area);
    impl_->from_axes = axes_of_data(from);
    impl_->to_axes = axes_of_data(to);
    impl_->open();
}

Reprojection::Reprojection(std::unique_ptr<Impl> impl) : impl_{std::move(impl)} {}
Reprojection::Reprojection(const Reprojection& other) : impl_{other.impl_->copy()} {}
Reprojection::~Reprojection() = default;
Reprojection::Reprojection(Reprojection&&) noexcept = default;

Reprojection Reprojection::inverse() const
{
    std::unique_ptr<Impl> back = impl_->copy();
    back->backwards = !back->backwards;
    return Reprojection{std::move(back)};
}

const CoordinateOperation& Reprojection::operation() const
{
    return impl_->operation;
}

bool Reprojection::apply(Point& p) const
{
    if (impl_->transform)
        p = impl_->map(p);
    return std::isfinite(p.x) && std::isfinite(p.y);
}

bool Reprojection::apply(std::span<Point> points) const
{
    bool all_finite = true;
    for (Point& p : points)
        all_finite = apply(p) && all_finite;
    return all_finite;
}

RoughDegrees::RoughDegrees(const Crs& crs)
    : to_geographic_{crs, crs.geographic()}, from_geographic_{to_geographic_.inverse()},
      degrees_per_unit_{crs.geographic().srs().GetAngularUnits(nullptr) / degree},
      prime_meridian_{crs.srs().GetPrimeMeridian(nullptr)}
{}

bool RoughDegrees::to_degrees(Point& p) const
{
    const bool finite = to_geographic_.apply(p);
    p = {p.x * degrees_per_unit_ + prime_meridian_, p.y * degrees_per_unit_};
    return finite && std::abs(p.x) <= most_longitude && std::abs(p.y) <= 90;
}

bool RoughDegrees::to_place(Point& p) const
{
    p = {(p.x - prime_meridian_) / degrees_per_unit_, p.y / degrees_per_unit_};
    return from_geographic_.apply(p);
}

} // namespace fuelring
