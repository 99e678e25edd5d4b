// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "community.hpp"
#include "layout.hpp"
#include "tools/random.hpp"

#include <string>

namespace community {

/// A place to build: (a, b) are metres along the street and away from it.
struct Site {
    Point origin, along, inward;

    Point at(double a, double b) const { return origin + along * a + inward * b; }
    /// The same site turned a little: `skew` is the tangent of the angle.
    Site turned(double skew) const;
};

/// A ring on the site from (a, b) pairs, snapped and counter-clockwise.
Ring ring_on(const Site& site, const std::vector<Point>& corners);
Ring rectangle_on(const Site& site, double a0, double b0, double a1, double b1);

/// What was built on a lot, for those who plan its garden.
struct Homestead {
    Site site;               ///< of the house: origin is the middle of its front wall
    double width_m, depth_m; ///< of the box around the house
    std::vector<Ring> walls; ///< outer rings of everything built
    bool has_house = false;
    double drive_a = 0; ///< where the drive runs
    double drive_b = 0; ///< how deep
};

/// Numbers the structures of one community: TB-0001, TB-0002, ...
class StructureNumbers {
public:
    explicit StructureNumbers(std::string prefix) : prefix_(std::move(prefix)) {}
    std::string next();
    int count() const { return count_; }

private:
    std::string prefix_;
    int count_ = 0;
};

void add_structure(Community& community, StructureNumbers& numbers, std::string kind,
                   std::string roof, std::vector<Polygon> parts);

/// Builds a house, perhaps a garage and a shed, on the lot, and gives the house its addresses.
Homestead build_home(const Lot& lot, const Manner& manner, Rng& rng, StructureNumbers& numbers,
                     Community& community);

} // namespace community
