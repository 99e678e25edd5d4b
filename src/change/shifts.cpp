// SPDX-License-Identifier: Apache-2.0

// A few dozen shifts have to stand for all of them, so they are not drawn but laid out: the digits
// of 0, 1, 2, ... mirrored at the point fill an interval ever more finely, in base 2 and in base 3
// independently of each other. The square that the two span is bent to the disc so that equal areas
// stay equal.
#include "change/shifts.hpp"

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace fuelring {

namespace {

/// The digits of `index` in a base, mirrored at the point: 0 to below 1, rounded once.
double radical_inverse(int index, int base)
{
    double mirrored = 0;
    double places = 1;
    for (; index > 0; index /= base, places *= base)
        mirrored = mirrored * base + index % base;
    return mirrored / places;
}

} // namespace

std::vector<Point> registration_shifts(int draws, double radius_m)
{
    if (draws < 0 || !(radius_m >= 0) || !std::isfinite(radius_m))
        throw std::logic_error{"shifts need a number of draws and a radius"};
    std::vector<Point> shifts;
    shifts.reserve(static_cast<std::size_t>(draws));
    for (int k = 0; k < draws; ++k) {
        const double r_m = radius_m * std::sqrt(radical_inverse(k, 2));
        const double angle = 2 * std::numbers::pi * radical_inverse(k, 3);
        shifts.push_back({r_m * std::cos(angle), r_m * std::sin(angle)});
    }
    return shifts;
}

} // namespace fuelring
