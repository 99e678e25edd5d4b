// SPDX-License-Identifier: Apache-2.0

// Made-up ground for tests of slopes: a lattice of cells in a local frame and heights on it.
#pragma once

#include "support/fuel_fixtures.hpp"

#include <fuelring/slope.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>

namespace fuelring::test {

inline constexpr double gap = std::numeric_limits<double>::quiet_NaN();

/// Cells of `width` x `height` metres turned by an angle (radians, counter-clockwise), rows
/// counting downwards unless `mirrored`; far from column 0, as on a real raster.
inline HeightLattice turned_lattice(double angle, double width, double height,
                                    bool mirrored = false)
{
    const Point along{std::cos(angle), std::sin(angle)};
    const Point across{along.y, -along.x};
    return {{30'000, 70'000}, {0.3, -0.2}, width * along, (mirrored ? -height : height) * across};
}

/// Heights of a rectangle of cells as height(local point) gives them.
template <typename Height>
HeightWindow heights_of(const HeightLattice& lattice, const CellRect& rect, Height height)
{
    HeightWindow window{rect, {}};
    for (std::int64_t row = rect.row; row < rect.row + rect.rows; ++row)
        for (std::int64_t col = rect.col; col < rect.col + rect.cols; ++col)
            window.height_m.push_back(height(lattice.centre(col, row)));
    return window;
}

template <typename Height>
std::optional<LocalSlope> slope_around(const Footprint& footprint, const HeightLattice& lattice,
                                       double within_m, Height height)
{
    SlopeFit fit{footprint, lattice, within_m};
    fit.take(heights_of(lattice, fit.cells(), height));
    return fit.fit();
}

/// A plane that falls by `fall` metres a metre towards `towards` (radians from the x axis).
struct Plane {
    double fall;
    double towards;
    double at_origin = 431.7;

    double operator()(Point p) const
    {
        return at_origin - fall * (p.x * std::cos(towards) + p.y * std::sin(towards));
    }
};

inline double distance(Point p, Point a, Point b)
{
    const Point d = b - a;
    const double t = std::clamp(dot(p - a, d) / dot(d, d), 0.0, 1.0);
    const Point off = p - (a + t * d);
    return std::hypot(off.x, off.y);
}

/// To the nearest wall.
inline double distance(Point p, const Footprint& footprint)
{
    double least = HUGE_VAL;
    for (const Loop& loop : footprint.loops)
        for (std::size_t k = 0; k < loop.size(); ++k)
            least = std::min(least, distance(p, loop[k], loop[(k + 1) % loop.size()]));
    return least;
}

} // namespace fuelring::test
