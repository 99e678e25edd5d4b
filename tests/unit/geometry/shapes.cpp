// SPDX-License-Identifier: Apache-2.0
#include "unit/geometry/shapes.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>
#include <utility>

namespace fuelring {

RingStretch on_slope(double down, double across, double aspect_deg)
{
    if (std::fmod(aspect_deg, 90) != 0)
        return {down, across, {std::sin(aspect_deg * pi / 180), std::cos(aspect_deg * pi / 180)}};
    constexpr std::array<Point, 4> axes{Point{0, 1}, {1, 0}, {0, -1}, {-1, 0}};
    return {down, across, axes[static_cast<std::size_t>(aspect_deg / 90) % 4]};
}

double support_m(const RingStretch& stretch, double r_m, Point normal)
{
    const double along = dot(normal, stretch.downhill);
    const double aside = cross(normal, stretch.downhill);
    return r_m * std::hypot((along >= 0 ? stretch.down : 1) * along, stretch.across * aside);
}

double mixed_area_m2(const Footprint& convex, double r_m, const RingStretch& stretch)
{
    double sum = area_m2(convex) + pi * r_m * r_m * stretch.across * (stretch.down + 1) / 2;
    for (const Loop& loop : convex.loops)
        for (std::size_t i = 0; i < loop.size(); ++i) {
            const Point d = loop[(i + 1) % loop.size()] - loop[i];
            const double length_m = std::hypot(d.x, d.y);
            sum += length_m * support_m(stretch, r_m, {d.y / length_m, -d.x / length_m});
        }
    return sum;
}

Loop rectangle(double x0, double y0, double x1, double y1)
{
    return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}};
}

Loop reversed(Loop loop)
{
    std::reverse(loop.begin(), loop.end());
    return loop;
}

Loop moved(Loop loop, Point by)
{
    for (Point& p : loop)
        p = p + by;
    return loop;
}

Footprint moved(Footprint footprint, Point by)
{
    for (Loop& loop : footprint.loops)
        loop = moved(std::move(loop), by);
    return footprint;
}

Loop turned(Loop loop, double radians)
{
    const double c = std::cos(radians);
    const double s = std::sin(radians);
    for (Point& p : loop)
        p = {c * p.x - s * p.y, s * p.x + c * p.y};
    return loop;
}

Loop random_convex(Dice& dice, int corners, double radius_m)
{
    std::vector<double> angles;
    for (int i = 0; i < corners; ++i)
        angles.push_back(2 * pi * (i + dice.between(0, 0.9)) / corners);
    Loop loop;
    for (const double a : angles)
        loop.push_back({radius_m * std::cos(a), radius_m * std::sin(a)});
    return loop;
}

Loop random_star(Dice& dice, int corners, double inner_m, double outer_m)
{
    Loop loop;
    for (int i = 0; i < corners; ++i) {
        const double a = 2 * pi * (i + dice.between(0, 0.8)) / corners;
        const double d = dice.between(inner_m, outer_m);
        loop.push_back({d * std::cos(a), d * std::sin(a)});
    }
    return loop;
}

Footprint random_hamlet(Dice& dice, int side, double spacing_m)
{
    Footprint hamlet;
    for (int i = 0; i < side; ++i)
        for (int j = 0; j < side; ++j) {
            if (dice.one_in(4))
                continue;
            const double size_m = spacing_m * dice.between(0.2, 0.48);
            const Loop house = random_star(dice, 3 + dice.up_to(4), 0.4 * size_m, size_m);
            hamlet.loops.push_back(moved(house, {i * spacing_m, j * spacing_m}));
        }
    if (hamlet.loops.empty())
        hamlet.loops.push_back(rectangle(0, 0, spacing_m, spacing_m));
    return hamlet;
}

namespace {

using Node = std::pair<int, int>;
using Steps = std::multimap<Node, Node>; ///< unit steps along the boundary, interior to the left

Steps boundary_steps(const std::vector<std::vector<bool>>& cells)
{
    const int side = static_cast<int>(cells.size());
    const auto filled = [&](int i, int j) {
        return i >= 0 && j >= 0 && i < side && j < side &&
               cells[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)];
    };
    Steps steps;
    for (int i = 0; i < side; ++i)
        for (int j = 0; j < side; ++j) {
            if (!filled(i, j))
                continue;
            if (!filled(i, j - 1))
                steps.insert({{i, j}, {i + 1, j}});
            if (!filled(i + 1, j))
                steps.insert({{i + 1, j}, {i + 1, j + 1}});
            if (!filled(i, j + 1))
                steps.insert({{i + 1, j + 1}, {i, j + 1}});
            if (!filled(i - 1, j))
                steps.insert({{i, j + 1}, {i, j}});
        }
    return steps;
}

/// Takes the step that turns most to `side` (1 left, -1 right) where two leave a node.
Node take_step(Steps& steps, Node from, Node before, int side)
{
    const auto [first, last] = steps.equal_range(from);
    auto best = first;
    for (auto it = first; it != last; ++it) {
        const int turn = (from.first - before.first) * (it->second.second - from.second) -
                         (from.second - before.second) * (it->second.first - from.first);
        if (turn * side > 0)
            best = it;
    }
    const Node to = best->second;
    steps.erase(best);
    return to;
}

Loop without_straight_corners(const Loop& loop)
{
    Loop corners;
    for (std::size_t i = 0; i < loop.size(); ++i) {
        const Point before = loop[(i + loop.size() - 1) % loop.size()];
        const Point after = loop[(i + 1) % loop.size()];
        if (cross(loop[i] - before, after - loop[i]) != 0)
            corners.push_back(loop[i]);
    }
    return corners;
}

} // namespace

Footprint random_cells(Dice& dice, int side, double cell_m, bool split_walls)
{
    std::vector<std::vector<bool>> cells(static_cast<std::size_t>(side));
    for (auto& column : cells)
        for (int j = 0; j < side; ++j)
            column.push_back(dice.one_in(2));
    cells[0][0] = true;
    Steps steps = boundary_steps(cells);
    const int turn_side = dice.one_in(2) ? 1 : -1;
    Footprint footprint;
    while (!steps.empty()) {
        const Node first = steps.begin()->first;
        Node before = first;
        Node at = take_step(steps, first, first, turn_side);
        Loop loop{{first.first * cell_m, first.second * cell_m}};
        while (at != first) {
            loop.push_back({at.first * cell_m, at.second * cell_m});
            const Node next = take_step(steps, at, before, turn_side);
            before = std::exchange(at, next);
        }
        footprint.loops.push_back(split_walls ? loop : without_straight_corners(loop));
    }
    return footprint;
}

Footprint sheared(Footprint footprint)
{
    for (Loop& loop : footprint.loops)
        for (Point& p : loop)
            p = {p.x - 0.75 * p.y, 0.75 * p.x + p.y}; // length times 1.25, turned, exact
    return footprint;
}

Footprint shaken(Dice& dice, Footprint footprint, double by_m)
{
    std::map<std::pair<double, double>, Point> moved_to;
    for (Loop& loop : footprint.loops)
        for (Point& p : loop) {
            const double dx = dice.between(-by_m, by_m);
            const double dy = dice.between(-by_m, by_m);
            p = moved_to.try_emplace({p.x, p.y}, p + Point{dx, dy}).first->second;
        }
    return footprint;
}

int worst_imbalance(const Outline& outline)
{
    std::map<std::pair<double, double>, int> balance;
    for (const Piece& p : outline.pieces) {
        ++balance[{p.start.x, p.start.y}];
        --balance[{p.end.x, p.end.y}];
    }
    int worst = 0;
    for (const auto& [node, n] : balance)
        worst = std::max(worst, std::abs(n));
    return worst;
}

double closure_error_m(const Outline& outline)
{
    Point sum;
    for (const Piece& p : outline.pieces)
        sum = sum + (p.end - p.start);
    return std::hypot(sum.x, sum.y);
}

double chord_loss_m2(const Outline& outline, int quadrant)
{
    // A chord of a turn d cuts off r^2 (d - sin d) / 2; an arc may begin and end inside a chord.
    const double d = pi / (2 * quadrant);
    double loss = 0;
    for (const Piece& p : outline.pieces)
        if (p.arc)
            loss += ((p.t1 - p.t0) / d + 2) * cross(p.u, p.v) * (d - std::sin(d)) / 2;
    return loss;
}

} // namespace fuelring
