// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/edges.hpp"

#include <span>

namespace fuelring {

/// Answers "is this nearer than r to an edge?" for points and whole pieces. An edge never judges
/// the pieces made of it: they lie at r by construction.
class Nearness {
public:
    Nearness(const std::vector<Edge>& edges, const Disc& body);

    /// Is p nearer than r to an edge other than own1 and own2?
    bool covers(Point p, std::uint32_t own1, std::uint32_t own2) const;
    /// Is the straight line from p to q nearer than r to one edge all along?
    bool covers_line(Point p, Point q, std::uint32_t own) const;
    /// Is an arc of less than half a turn nearer than r to one point of an edge all along?
    /// May say no where only several points together cover it.
    bool covers_arc(Point from, Point to, std::uint32_t own1, std::uint32_t own2) const;

private:
    struct Wall {
        Point a;
        Point direction;
        double length_m;
        std::uint32_t edge;
    };
    std::span<const Wall> within_reach(double x) const;
    static Point nearest(const Wall& wall, Point p);

    std::vector<Wall> walls_;   ///< many: by the smaller x; few: as they come
    std::vector<double> x_min_; ///< empty for few walls
    double widest_m_ = 0;
    double r_m_;
    double keep_m2_;
};

} // namespace fuelring
