// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/outline.hpp>

#include <array>
#include <random>
#include <vector>

namespace fuelring {

inline constexpr double pi = 3.14159265358979323846;
inline constexpr std::array<double, 4> ring_distances_m{1.5, 10, 30, 100};

/// Random numbers that are the same on every machine (std::uniform_real_distribution is not).
class Dice {
public:
    explicit Dice(std::uint32_t seed) : engine_(seed) {}
    double between(double low, double high)
    {
        return low + (high - low) * static_cast<double>(engine_()) / 4294967296.0;
    }
    bool one_in(std::uint32_t n) { return engine_() % n == 0; }
    int up_to(int n) { return static_cast<int>(engine_() % static_cast<std::uint32_t>(n + 1)); }

private:
    std::mt19937 engine_;
};

/// Rings stretched down a slope that falls towards `aspect_deg`, clockwise from north (+y).
/// Multiples of 90 degrees are exact.
RingStretch on_slope(double down, double across, double aspect_deg);
/// Furthest that the egg of axes down r, r and across r reaches along a unit normal.
double support_m(const RingStretch& stretch, double r_m, Point normal);
/// The closed form for convex footprints: A + sum of (support x edge length) + area of the egg.
/// Source: mixed area; Schneider, Convex Bodies: The Brunn-Minkowski Theory, 1993 (from memory).
double mixed_area_m2(const Footprint& convex, double r_m, const RingStretch& stretch);

Loop rectangle(double x0, double y0, double x1, double y1);
Loop reversed(Loop loop);
Loop moved(Loop loop, Point by);
Footprint moved(Footprint footprint, Point by);
Loop turned(Loop loop, double radians);

/// Corners on a circle at random angles, counter-clockwise: convex.
Loop random_convex(Dice& dice, int corners, double radius_m);
/// One corner in every sector, at random distances: seldom convex, never crossing itself.
Loop random_star(Dice& dice, int corners, double inner_m, double outer_m);
/// Small buildings of three to seven corners in a lattice of places, turned at random, apart.
Footprint random_hamlet(Dice& dice, int side, double spacing_m);
/// The outline of a random set of square cells. Loops touch in points, gaps are whole cells;
/// walls are split at every cell, or not.
Footprint random_cells(Dice& dice, int side, double cell_m, bool split_walls);
/// The same lattice turned by 45 degrees and stretched, with exact coordinates.
Footprint sheared(Footprint footprint);
/// Every place moved at random by up to `by_m` in x and y; vertices in one place stay in one place.
Footprint shaken(Dice& dice, Footprint footprint, double by_m);

/// Largest imbalance of pieces in and out over all nodes, ends compared bit for bit.
int worst_imbalance(const Outline& outline);
/// Length of the sum of end minus start.
double closure_error_m(const Outline& outline);
/// Most by which an outline loses area when its arcs become chords of `quadrant` per quarter.
double chord_loss_m2(const Outline& outline, int quadrant);

} // namespace fuelring
