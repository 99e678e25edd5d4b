// SPDX-License-Identifier: Apache-2.0

// PROJ wants coordinates in the order of a system's own axes, and data keep theirs as x, y. So each
// point is put on the axes of the one system, moved, and taken off those of the other; the way back
// swaps the two. A copy opens the pipeline anew, in a context of its own, and does not choose
// again.
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

Reprojection::Reprojection(const Crs& from, const Crs& to, const std::optional<GeoArea>& area)
{
    if (from.same_as(to))
        return;
    operation_ = choose_operation(from, to, area);
    from_axes_ = axes_of_data(from);
    to_axes_ = axes_of_data(to);
    open();
}

Reprojection::Reprojection(const Reprojection& other)
    : operation_{other.operation_}, from_axes_{other.from_axes_}, to_axes_{other.to_axes_},
      backwards_{other.backwards_}
{
    open();
}

void Reprojection::open()
{
    if (operation_.none())
        return;
    context_ = quiet_context();
    transform_.reset(proj_create(context_.get(), operation_.pipeline.c_str()));
    if (!transform_)
        throw Error{Failure::input,
                    fmt::format("PROJ cannot do {}: {}", operation_.name,
                                proj_context_errno_string(context_.get(),
                                                          proj_context_errno(context_.get())))};
}

Reprojection Reprojection::inverse() const
{
    Reprojection back{*this};
    back.backwards_ = !backwards_;
    return back;
}

Point Reprojection::map(Point p) const
{
    const auto on_axes = to_axes(p, backwards_ ? to_axes_ : from_axes_);
    const PJ_COORD moved = proj_trans(transform_.get(), backwards_ ? PJ_INV : PJ_FWD,
                                      proj_coord(on_axes[0], on_axes[1], 0, HUGE_VAL));
    return from_axes({moved.xy.x, moved.xy.y}, backwards_ ? from_axes_ : to_axes_);
}

bool Reprojection::apply(Point& p) const
{
    if (transform_)
        p = map(p);
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
