// SPDX-License-Identifier: Apache-2.0
#include "tools/random.hpp"

#include <cmath>

namespace community {
namespace {

/// The finalizer of splitmix64 (Steele, Lea, Flood 2014, from memory).
std::uint64_t scramble(std::uint64_t z)
{
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
}

double lattice_value(std::uint64_t seed, double column, double row)
{
    const auto c = static_cast<std::uint64_t>(static_cast<std::int64_t>(column));
    const auto r = static_cast<std::uint64_t>(static_cast<std::int64_t>(row));
    const std::uint64_t h =
        scramble(seed + c * 0x9e3779b97f4a7c15ULL + scramble(r + 0x632be59bd9b4e019ULL));
    return static_cast<double>(h >> 11) * 0x1.0p-53;
}

double smooth(double t)
{
    return t * t * (3 - 2 * t);
}

/// The noise along one side of a lattice cell: the value at its left and at its right edge.
struct Edge {
    double left, right;
};

Edge cell_edge(std::uint64_t seed, double column, double row, double weight)
{
    const auto blend = [&](double c) {
        const double low = lattice_value(seed, c, row);
        return low + (lattice_value(seed, c, row + 1) - low) * weight;
    };
    return {blend(column), blend(column + 1)};
}

} // namespace

std::uint64_t mix(std::uint64_t seed, std::uint64_t index)
{
    return scramble(seed + (index + 1) * 0x9e3779b97f4a7c15ULL);
}

double noise(std::uint64_t seed, double x, double y)
{
    const double column = std::floor(x), row = std::floor(y);
    const Edge edge = cell_edge(seed, column, row, smooth(y - row));
    return edge.left + (edge.right - edge.left) * smooth(x - column);
}

double fractal_noise(std::uint64_t seed, double x, double y)
{
    // Each octave is turned by the angle of the triangle 3-4-5, so that no lattice shows.
    double sum = 0;
    for (const double weight : {4.0, 2.0, 1.0}) {
        const double turned_x = 0.8 * x - 0.6 * y, turned_y = 0.6 * x + 0.8 * y;
        sum += weight * noise(seed++, turned_x, turned_y);
        x = 2 * turned_x + 0.37;
        y = 2 * turned_y + 0.71;
    }
    return sum / 7;
}

void noise_row(std::uint64_t seed, double x, double step, double y, std::vector<float>& out)
{
    const double row = std::floor(y), weight = smooth(y - row);
    double column = std::floor(x);
    Edge edge = cell_edge(seed, column, row, weight);
    for (std::size_t i = 0; i < out.size(); ++i) {
        const double here = x + step * static_cast<double>(i);
        if (std::floor(here) != column) {
            column = std::floor(here);
            edge = cell_edge(seed, column, row, weight);
        }
        out[i] = static_cast<float>(edge.left + (edge.right - edge.left) * smooth(here - column));
    }
}

} // namespace community
