// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "community.hpp"
#include "tools/random.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace community {

inline constexpr double right_of_way_half_m = 7; ///< lots begin here, from the street's middle

/// How a part of the community looks.
struct Manner {
    double frontage_m = 20;
    double setback_m = 7;
    double house_scale = 1;
    double hedge_chance = 0.25;
    double conifers_per_lot = 0.7;
    double leaf_trees_per_lot = 1.0;
    double garage_chance = 0.5;
    double shed_chance = 0.2;
    double vacant_chance = 0.04;
    bool wooded = false; ///< forest is left standing away from the houses
};

/// A strip of lots along a spine, between two lines beside it. Each line is a street, or, where it
/// has no name, the back line of the lots that face the other one.
struct RowPlan {
    const Spine* spine;
    double near_m, far_m; ///< the two lines, metres to the left of the spine
    std::string near_street, far_street;
    std::vector<double> cuts; ///< where the row begins, is crossed by streets, and ends
    Manner manner;
    double wander_m = 8;       ///< how far the streets stray from an even distance
    double slant = 0.12;       ///< of the cross streets
    bool cross_streets = true; ///< pave the cuts
    double paved_half_m = 3.4;
};

struct Lot {
    Ring outline;
    Point front;  ///< middle of the side on the street
    Point along;  ///< unit vector of that side
    Point inward; ///< unit vector away from the street
    double frontage_m, depth_m;
    std::string street;
    int number;
};

/// House numbers run on along a street, odd on one side, even on the other.
class HouseNumbers {
public:
    int next(const std::string& street, bool even);

private:
    std::map<std::pair<std::string, bool>, int> last_;
};

/// Cuts a row into lots and appends its streets' pavements and rights of way to `community`.
/// Law: lots of one row do not overlap, and with the rights of way they fill it.
std::vector<Lot> lay_out(const RowPlan& row, Rng& rng, HouseNumbers& numbers, Community& community);

/// Metres to the left of the spine of the street whose even distance is `base_m`: rows that share a
/// street get the same line.
double street_line(double base_m, double wander_m, double along);

/// The line beside a spine that a street takes between two places along it.
Ring street_curve(const Spine& spine, double base_m, double wander_m, double from, double to);

/// The band of ground beside a spine between two street lines.
Ring band_between(const Spine& spine, double near_m, double far_m, double wander_m, double from,
                  double to);

/// A street along `line`: its pavement and its right of way.
void add_street(const Ring& line, double paved_half_m, Community& community);

} // namespace community
