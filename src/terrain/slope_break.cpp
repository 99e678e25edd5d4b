// SPDX-License-Identifier: Apache-2.0

// A line of least squares slides uphill over the heights of the way. On ground that rises evenly
// and is level from one place on, its slope is half of that of the plane just when its middle
// stands at that place, whatever its length: so the middle is what is told.
#include "geometry/require.hpp"

#include <fuelring/slope.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring {

namespace {

constexpr double most_steps_in_stretch = 64;

constexpr double most_steps = 0x1p31;

Point furthest_uphill(const Footprint& footprint, Point downhill)
{
    Point best;
    double least = HUGE_VAL;
    for (const Loop& loop : footprint.loops)
        for (const Point p : loop)
            if (dot(p, downhill) < least) {
                least = dot(p, downhill);
                best = p;
            }
    return best;
}

/// Rise per step of the line through the heights of a stretch; NaN where half of them are missing.
/// Source: least squares through (x, z), the slope sum dx dz / sum dx^2 about the means. Of z = f x
/// before 0 and 0 behind it, over -h to h: (f h^3 / 3) / (2 h^3 / 3) = f / 2, whatever h is.
double rise_of(const double* heights_m, std::int64_t count)
{
    double n = 0;
    double x = 0;
    double z = 0;
    for (std::int64_t k = 0; k < count; ++k)
        if (!std::isnan(heights_m[k])) {
            n += 1;
            x += static_cast<double>(k);
            z += heights_m[k];
        }
    double xx = 0;
    double xz = 0;
    for (std::int64_t k = 0; k < count; ++k)
        if (!std::isnan(heights_m[k])) {
            const double dx = static_cast<double>(k) - x / n;
            xx += dx * dx;
            xz += dx * (heights_m[k] - z / n);
        }
    return 2 * n > static_cast<double>(count) && n >= 2 ? xz / xx : NAN;
}

} // namespace

UphillLine::UphillLine(const Footprint& footprint, const HeightLattice& lattice, Point downhill,
                       double stretch_m, double reach_m)
    : start{furthest_uphill(footprint, downhill)}
{
    require_valid(footprint);
    lattice.require_valid();
    require(std::abs(dot(downhill, downhill) - 1) < 1e-9, "UphillLine: downhill is a unit vector");
    require(stretch_m > 0 && stretch_m <= farthest_local_m && reach_m > 0 &&
                reach_m <= farthest_local_m,
            "UphillLine: distances are above 0 and finite");
    const double cell_m = std::min(lattice.col_step.length(), lattice.row_step.length());
    step_m = std::max(cell_m, stretch_m / most_steps_in_stretch);
    require(std::max(reach_m, stretch_m) / step_m < most_steps, "UphillLine: too many steps");
    step = -step_m * downhill;
    const double in_stretch = std::max(2.0, std::round(stretch_m / step_m));
    steps_in_stretch = static_cast<std::int64_t>(in_stretch);
    steps = static_cast<std::int64_t>(std::floor(std::max(reach_m, stretch_m) / step_m + 1e-9));
}

std::optional<double> slope_break_m(const UphillLine& line, const std::vector<double>& heights_m,
                                    double fall)
{
    require(line.steps_in_stretch > 0 && line.step_m > 0 && std::isfinite(line.step_m) &&
                line.steps_in_stretch < std::numeric_limits<std::int64_t>::max() &&
                std::isfinite(fall),
            "slope_break_m: a line of steps and a fall are needed");
    const std::int64_t count = line.steps_in_stretch + 1;
    const auto known = static_cast<std::int64_t>(heights_m.size());
    for (std::int64_t first = 0; count <= known - first; ++first) {
        const double rise = rise_of(&heights_m[static_cast<std::size_t>(first)], count);
        if (std::isnan(rise))
            return std::nullopt;
        if (rise < fall / 2 * line.step_m)
            return first == 0 ? 0
                              : (static_cast<double>(first) +
                                 static_cast<double>(line.steps_in_stretch) / 2) *
                                    line.step_m;
    }
    return std::nullopt;
}

} // namespace fuelring
