// SPDX-License-Identifier: Apache-2.0

// Parcel layers for tests: in metres, put on the lattice as the reader does.
#pragma once

#include "exposure/ownership.hpp"

#include <random>

namespace fuelring::test {

inline ParcelShape shape(const Footprint& polygon)
{
    ParcelShape result;
    for (const Loop& loop : polygon.loops) {
        LatticeLoop& points = result.emplace_back();
        for (const Point p : loop)
            points.push_back(to_lattice(p));
    }
    return result;
}

/// Parcels whose owner class is given by name.
struct OwnedShape {
    Footprint polygon;
    std::string owner;
};

inline Ownership ownership(const std::vector<OwnedShape>& parcels,
                           const std::vector<std::string>& classes = {"crown", "municipal",
                                                                      "private"})
{
    Ownership result;
    std::vector<ParcelShape> shapes;
    for (const OwnedShape& parcel : parcels) {
        shapes.push_back(shape(parcel.polygon));
        const auto at = std::find(classes.begin(), classes.end(), parcel.owner);
        result.class_of.push_back(static_cast<std::int32_t>(at - classes.begin()));
    }
    result.map = ParcelMap{shapes};
    result.classes = classes;
    for (std::size_t k = 0; k < classes.size(); ++k)
        if (classes[k] == "private")
            result.private_class = static_cast<std::int32_t>(k);
    return result;
}

/// Quadrilaterals between the crooked lines of a net, some left out (gaps), some given a hole,
/// corners a multiple of `step` metres.
inline std::vector<OwnedShape> random_parcels(std::mt19937_64& rng, double size_m, double spacing_m,
                                              double step_m)
{
    const int n = static_cast<int>(size_m / spacing_m);
    std::uniform_real_distribution<double> jitter{-0.35, 0.35};
    const auto rounded = [step_m](double v) { return std::round(v / step_m) * step_m; };
    std::vector<std::vector<Point>> corner(static_cast<std::size_t>(n + 1));
    for (int i = 0; i <= n; ++i)
        for (int j = 0; j <= n; ++j)
            corner[static_cast<std::size_t>(i)].push_back(
                {rounded(spacing_m * (i + jitter(rng)) - size_m / 2),
                 rounded(spacing_m * (j + jitter(rng)) - size_m / 2)});
    const std::string owners[] = {"private", "private", "private", "municipal", "crown", ""};
    std::vector<OwnedShape> parcels;
    for (std::size_t i = 0; i + 1 < corner.size(); ++i)
        for (std::size_t j = 0; j + 1 < corner.size(); ++j) {
            const std::string& owner = owners[rng() % 6];
            const Loop shell{corner[i][j], corner[i + 1][j], corner[i + 1][j + 1],
                             corner[i][j + 1]};
            std::vector<RawLoop> loops{{shell, false}};
            if (rng() % 5 == 0) { // a hole about the middle
                const Point middle = 0.25 * (shell[0] + shell[1] + shell[2] + shell[3]);
                Loop hole;
                for (const Point p : shell) {
                    const Point q = middle + 0.2 * (p - middle);
                    hole.push_back({rounded(q.x), rounded(q.y)});
                }
                loops.push_back({hole, true});
            }
            if (!owner.empty())
                parcels.push_back({normalised(loops), owner});
        }
    return parcels;
}

} // namespace fuelring::test
