// SPDX-License-Identifier: Apache-2.0

// The arrangement of curves that may cross: which pairs to look at, where each is cut, and what
// lies between the cuts. Whoever arranges says where two curves cross and which stretches stay:
// the offset of one footprint (geometry/offset) and the union of many (geometry/dissolve).
// No crossing is missed: two curves meet only where their boxes do, and the sweep over x compares
// every pair whose boxes are within same_place_m.
#pragma once

#include "geometry/angles.hpp"
#include "geometry/tolerances.hpp"

#include <fuelring/footprint.hpp>

#include <algorithm>
#include <cstdint>
#include <numeric>
#include <utility>
#include <vector>

namespace fuelring {

/// What cutting needs to know of a line or an arc. Law: t0 < t1; the point at t is base + t from of
/// a line, and on the ellipse of an arc; `box` holds the curve but for rounding.
struct Curve {
    bool arc = false;
    double t0 = 0; ///< of a line: metres from `base`; of an arc: its parameter, radians
    double t1 = 0;
    Point start;
    Point end;
    Point base; ///< of an arc: its centre
    Point from; ///< unit: direction of a line; of an arc that to its start, on its circle
    Point to{}; ///< and that to its end
    Box box{};
};

/// Where a curve is to be cut. The two curves of a crossing get the same point, so that what is
/// left of them meets bit for bit.
/// Law: the curve at t is `point`, to rounding.
struct Cut {
    std::uint32_t curve = 0;
    double t = 0;
    Point point;
};

/// The part of a curve between two neighbouring cuts. Law: stretches of a curve share their ends,
/// and the first and the last have those of the curve, bit for bit.
/// Units of t are the curve's.
struct Stretch {
    double t0 = 0;
    double t1 = 0;
    Point start;
    Point end;
};

/// Is t on a curve, or so little beyond it that rounding may have put it there?
/// Unit: that of the curve's parameter, metres or radians; the slack is end_slack.
inline bool is_on(const Curve& curve, double t)
{
    return t >= curve.t0 - end_slack && t <= curve.t1 + end_slack;
}

/// Collects cuts. One at or beyond an end changes nothing: the end is a node already.
/// Law: the cuts of a curve lie strictly between t0 and t1.
inline void add_cut(const Curve& curve, Cut cut, std::vector<Cut>& cuts)
{
    if (cut.t > curve.t0 && cut.t < curve.t1)
        cuts.push_back(cut);
}

/// All cuts of curves at each other, sorted by curve and parameter. `crossings` collects them in
/// `cuts` and has `may_cross(i, j)`, `line_line(i, j)`, `line_arc(line, arc)`, `arc_arc(i, j)`,
/// i < j but for line_arc. The order of calls depends on the curves alone. As long as few boxes
/// overlap in x the sweep compares few pairs; at worst it compares all.
/// Cost: n log n to sort n curves, then one test for each pair whose ranges of x meet. `crossings`
/// has no cuts left afterwards.
template <typename Curves, typename Crossings>
std::vector<Cut> cuts_of(const Curves& curves, Crossings&& crossings)
{
    std::vector<std::uint32_t> by_x(curves.size());
    std::iota(by_x.begin(), by_x.end(), 0U);
    std::sort(by_x.begin(), by_x.end(), [&](std::uint32_t i, std::uint32_t j) {
        const double x = curves[i].box.min.x;
        const double y = curves[j].box.min.x;
        return x != y ? x < y : i < j;
    });
    const auto cross_pair = [&](std::uint32_t i, std::uint32_t j) {
        if (curves[i].arc && curves[j].arc)
            crossings.arc_arc(i, j);
        else if (curves[i].arc)
            crossings.line_arc(j, i);
        else if (curves[j].arc)
            crossings.line_arc(i, j);
        else
            crossings.line_line(i, j);
    };
    for (std::size_t i = 0; i < by_x.size(); ++i) {
        const Box& box = curves[by_x[i]].box;
        for (std::size_t j = i + 1; j < by_x.size(); ++j) {
            const Box& other = curves[by_x[j]].box;
            // Those that follow begin still further right.
            if (other.min.x > box.max.x + same_place_m)
                break;
            if (crossings.may_cross(by_x[i], by_x[j]) && box.meets(other, same_place_m))
                cross_pair(std::min(by_x[i], by_x[j]), std::max(by_x[i], by_x[j]));
        }
    }
    std::sort(crossings.cuts.begin(), crossings.cuts.end(), [](const Cut& a, const Cut& b) {
        return a.curve != b.curve ? a.curve < b.curve : a.t < b.t;
    });
    return std::move(crossings.cuts);
}

/// Calls visit(curve's number, Stretch) for what lies between cuts, in order. What begins and ends
/// in one place is left out, but for an arc nearly all round: welding makes its ends one.
/// `cuts` are sorted as cuts_of returns them.
/// Law: with those left out, the stretches of a curve cover it once, end to end.
template <typename Curves, typename Visit>
void for_each_stretch(const Curves& curves, const std::vector<Cut>& cuts, Visit&& visit)
{
    auto cut = cuts.begin();
    for (std::uint32_t i = 0; i < curves.size(); ++i) {
        const Curve& curve = curves[i];
        Stretch s{curve.t0, curve.t0, curve.start, curve.start};
        for (bool last = false; !last; s.t0 = s.t1, s.start = s.end) {
            last = cut == cuts.end() || cut->curve != i;
            s.t1 = last ? curve.t1 : cut->t;
            s.end = last ? curve.end : cut->point;
            if (!last)
                ++cut;
            if (!same_place(s.start, s.end) || (curve.arc && s.t1 - s.t0 > quarter_turn))
                visit(i, s);
        }
    }
}

} // namespace fuelring
