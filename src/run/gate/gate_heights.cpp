// SPDX-License-Identifier: Apache-2.0

// Whether heights are still those of the same ground, from some structures that both runs have. A
// line of least squares tells three faults apart: another datum moves the mean, another unit
// changes the slope of the line, another place or layer lowers the correlation. On flat ground the
// last two mean nothing and are not looked at.
#include "run/gate/gate_figures.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

constexpr std::size_t sampled_heights = 200;
constexpr std::size_t fewest_heights = 3;
/// Where heights at the structures stray from their mean by less, root mean square, they may be the
/// errors of a raster from space.
constexpr double least_relief_m = 5;

std::vector<std::size_t> with_slope(const Community& community)
{
    std::vector<std::size_t> structures;
    for (std::size_t k = 0; k < community.terrain.size(); ++k)
        if (community.terrain[k].slope)
            structures.push_back(k);
    return structures;
}

double mean_of(const std::vector<double>& values)
{
    double sum = 0;
    for (const double v : values)
        sum += v;
    return sum / static_cast<double>(values.size());
}

} // namespace

SeenHeights heights_of(const Community& community)
{
    const std::vector<std::size_t> structures = with_slope(community);
    const std::size_t wanted = std::min(structures.size(), sampled_heights);
    SeenHeights heights;
    for (std::size_t k = 0; k < wanted; ++k) {
        const std::size_t s = structures[k * structures.size() / wanted];
        heights.emplace_back(community.structures[s].id,
                             std::round(100 * community.terrain[s].slope->height_m) / 100);
    }
    return heights;
}

MovedFigures compare_heights(const SeenHeights& before, const Community& community)
{
    std::vector<double> then, now;
    for (const auto& [id, height_m] : before)
        if (const auto s = index_of_structure(community, id);
            s && *s < community.terrain.size() && community.terrain[*s].slope) {
            then.push_back(height_m);
            now.push_back(community.terrain[*s].slope->height_m);
        }
    if (then.size() < fewest_heights)
        return {};
    const double mean_then = mean_of(then);
    const double mean_now = mean_of(now);
    MovedFigures moved{{"height_mean_m", {mean_then, mean_now}}};
    double tt = 0, nn = 0, tn = 0;
    for (std::size_t k = 0; k < then.size(); ++k) {
        const double t = then[k] - mean_then;
        const double n = now[k] - mean_now;
        tt += t * t;
        nn += n * n;
        tn += t * n;
    }
    if (std::sqrt(tt / static_cast<double>(then.size())) < least_relief_m)
        return moved;
    moved["height_scale"] = {1, tn / tt};
    moved["height_disagreement"] = {0, 1 - (nn > 0 ? tn / std::sqrt(tt * nn) : 0)};
    return moved;
}

} // namespace fuelring
