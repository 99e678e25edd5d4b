// SPDX-License-Identifier: Apache-2.0
#include "valley.hpp"

#include "tools/random.hpp"

#include <algorithm>

namespace community {
namespace {

constexpr double pitch_m = 5;
constexpr double river_half_m = 17;
constexpr double river_level_m = 486;
constexpr double river_fall = 0.0032;

enum Seed : std::uint64_t {
    hills = 11,
    roughs = 23,
    woods = 37,
    stands = 53,
    gaps = 71,
    edges = 97
};

double ramp(double from, double to, double x)
{
    const double t = std::clamp((x - from) / (to - from), 0.0, 1.0);
    return t * t * (3 - 2 * t);
}

/// 0 below `from`, then rising with slope 1, rounded over 60 m.
double hinge(double from, double x)
{
    const double t = std::clamp((x - from) / 60, 0.0, 1.0);
    return 30 * t * t + std::max(0.0, x - from - 60);
}

/// Height above the river on the town's side: bank, terrace, scarp, bench, mountain.
double town_side_m(Point p, double from_river_m)
{
    const double d = from_river_m + 60 * (fractal_noise(hills, p.x / 260, p.y / 260) - 0.5);
    return 3.4 * ramp(14, 34, from_river_m) + 0.016 * std::max(0.0, d) + 15 * ramp(440, 520, d) +
           0.05 * std::max(0.0, d - 520) + 0.38 * hinge(720, d);
}

/// Height above the river across it: a terrace in the south-east, elsewhere a steep side.
double far_side_m(Point p, double across_m)
{
    const double terrace = ramp(740, 900, p.x) * (1 - ramp(1560, 1750, p.x));
    const double foot = 62 + 215 * terrace + 50 * (noise(hills, p.x / 180, p.y / 180) - 0.5);
    return 3.4 * ramp(14, 34, across_m) + 0.03 * across_m + 0.52 * hinge(foot, across_m);
}

Spine river_line()
{
    return Spine{{{-300, 1620},
                  {-60, 1490},
                  {150, 1400},
                  {345, 1240},
                  {475, 1010},
                  {540, 780},
                  {665, 565},
                  {880, 425},
                  {1160, 372},
                  {1450, 325},
                  {1740, 205},
                  {2080, 60},
                  {2380, -60}}};
}

} // namespace

double Lattice::operator()(Point p) const
{
    const double x = std::clamp(p.x / pitch_m_, 0.0, cols_ - 1.001);
    const double y = std::clamp(p.y / pitch_m_, 0.0, rows_ - 1.001);
    const int col = static_cast<int>(x), row = static_cast<int>(y);
    const double u = x - col, v = y - row;
    return (at(col, row) * (1 - u) + at(col + 1, row) * u) * (1 - v) +
           (at(col, row + 1) * (1 - u) + at(col + 1, row + 1) * u) * v;
}

Valley::Valley(double width_m, double height_m)
    : river_(river_line()), from_river_(pitch_m, static_cast<int>(width_m / pitch_m) + 1,
                                        static_cast<int>(height_m / pitch_m) + 1),
      along_river_(from_river_), elevation_(from_river_)
{
    for (int row = 0; row < elevation_.rows(); ++row)
        for (int col = 0; col < elevation_.cols(); ++col) {
            const Point p = elevation_.node(col, row);
            const auto [along, beside] = river_.nearest(p);
            const double rise_m = beside > 0 ? town_side_m(p, beside) : far_side_m(p, -beside);
            const double rough = fractal_noise(roughs, p.x / 90, p.y / 90) - 0.5;
            from_river_.at(col, row) = beside;
            along_river_.at(col, row) = along;
            elevation_.at(col, row) =
                river_level_m - river_fall * along + rise_m + rough * std::min(12.0, 0.10 * rise_m);
        }
}

void Valley::cover(Epoch epoch, Canvas& canvas) const
{
    for (int row = 0; row < canvas.rows; ++row)
        for (int col = 0; col < canvas.cols; ++col)
            canvas.at(row, col) = cover_at(canvas.center(row, col), epoch);
}

Fuel Valley::cover_at(Point p, Epoch epoch) const
{
    const double ripple = noise(edges, p.x / 7, p.y / 7) - 0.5;
    const double beside = from_river_(p) + 5 * (noise(edges + 1, p.x / 30, p.y / 30) - 0.5);
    const double from_river_m = std::abs(beside);
    if (from_river_m < river_half_m)
        return water;
    if (from_river_m < river_half_m + 5 * noise(gaps + 9, p.x / 45, p.y / 45) - 1)
        return bare; // gravel
    const double above_m = elevation_(p) - (river_level_m - river_fall * along_river_(p));
    const double edge = fractal_noise(woods, p.x / 110, p.y / 110) + 0.12 * ripple;
    // Trees hold the scarp between terrace and bench.
    const double scarp_m =
        beside > 0 ? 16 * ramp(385, 440, beside) * (1 - ramp(520, 600, beside)) : 0;
    const Fuel wood = above_m + scarp_m + 30 * (edge - 0.5) > 24 ? wood_at(p, above_m)
                                                                 : floor_at(p, from_river_m);
    // Clearings of the first year that young conifers have taken two years later.
    const bool regrown = epoch == Epoch::later && wood == shrub && above_m > 30 &&
                         noise(gaps + 4, p.x / 70, p.y / 70) + 0.1 * ripple > 0.6;
    return regrown ? conifer_stand : wood;
}

Fuel Valley::wood_at(Point p, double above_river_m) const
{
    const double ripple = 0.08 * (noise(edges + 2, p.x / 5, p.y / 5) - 0.5);
    const double gap = fractal_noise(gaps, p.x / 34, p.y / 34) + ripple;
    const double scree = fractal_noise(gaps + 7, p.x / 60, p.y / 60) + ripple;
    if (above_river_m > 75 && scree > 0.71)
        return bare;
    if (gap > 0.76)
        return gap > 0.8 ? grass : shrub;
    const double stand = fractal_noise(stands, p.x / 150, p.y / 150) + ripple;
    if (stand < 0.31)
        return broadleaved;
    return stand < 0.39 ? mixed_stand : conifer_stand;
}

Fuel Valley::floor_at(Point p, double from_river_m) const
{
    const double ripple = 0.1 * (noise(edges + 3, p.x / 5, p.y / 5) - 0.5);
    const double bank = fractal_noise(woods + 5, p.x / 60, p.y / 60) + ripple;
    if (from_river_m < 62 && bank > 0.36 + 0.006 * std::max(0.0, from_river_m - 26))
        return bank > 0.72 ? mixed_stand : broadleaved;
    const double grove = fractal_noise(woods + 9, p.x / 95, p.y / 95) + ripple;
    if (grove > 0.69)
        return grove > 0.74 ? conifer_stand : mixed_stand;
    if (grove < 0.24)
        return broadleaved;
    return bank + ripple > 0.63 ? shrub : grass;
}

} // namespace community
