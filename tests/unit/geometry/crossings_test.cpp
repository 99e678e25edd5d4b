// SPDX-License-Identifier: Apache-2.0
#include "geometry/dissolve/union_crossings.hpp"
#include "geometry/offset/body.hpp"
#include "unit/geometry/shapes.hpp"

#include <doctest/doctest.h>

#include <cmath>

namespace fuelring {
namespace {

/// The points at which two pieces cut each other, each once.
std::vector<Point> crossings(const Piece& a, const Piece& b)
{
    std::vector<Point> points;
    for (const Cut& cut : cuts_of_tracks({{a, 0}, {b, 1}}))
        if (cut.curve == 0)
            points.push_back(cut.point);
    return points;
}

Piece arc(const Egg& egg, Half half, Point centre)
{
    const double t0 = half == Half::downhill ? -quarter_turn : quarter_turn;
    const double t1 = t0 + 2 * quarter_turn;
    return {centre + egg.at(half, t0),
            centre + egg.at(half, t1),
            true,
            centre,
            egg.u(half),
            egg.v(),
            t0,
            t1};
}

/// Where along the downhill half of an egg, seen from the other's centre, its boundary is crossed:
/// changes of sign of (nominal distance - r) at uphill points, by dense sampling.
int sampled_crossings(const Egg& egg, Point to)
{
    constexpr int samples = 4000;
    int found = 0;
    double before = 0;
    for (int k = 0; k <= samples; ++k) {
        const double t = -quarter_turn + 2 * quarter_turn * k / samples;
        const Point z = egg.at(Half::downhill, t) - to;
        const double off = egg.flat(Half::uphill, z).length() - egg.r_m;
        if (k > 0 && z.x < 0 && (off < 0) != (before < 0))
            ++found;
        before = off;
    }
    return found;
}

} // namespace

TEST_CASE("where unlike halves of two eggs cross lies on both, and no crossing is missed")
{
    Dice dice{404};
    int all = 0;
    for (int round = 0; round < 500; ++round) {
        const Egg egg{10, dice.between(1, 4), dice.between(1, 3)};
        const Point to{dice.between(-10, 60), dice.between(-65, 65)};
        CAPTURE(round);
        const auto found = crossings(arc(egg, Half::downhill, {}), arc(egg, Half::uphill, to));
        for (const Point p : found) {
            CHECK(p.x >= 0);
            CHECK(p.x <= to.x);
            const double tolerance = 1e-12 * (egg.down + egg.across);
            CHECK(std::abs(egg.flat(Half::downhill, p).length() / egg.r_m - 1) < tolerance);
            CHECK(std::abs(egg.flat(Half::uphill, p - to).length() / egg.r_m - 1) < tolerance);
        }
        CHECK(static_cast<int>(found.size()) == sampled_crossings(egg, to));
        all += static_cast<int>(found.size());
    }
    CHECK(all > 50);
}

TEST_CASE("curves that only touch do not cross, those a little nearer do")
{
    const Egg egg{10, 2, 1.5};
    const auto halves = [&](Point to) {
        return crossings(arc(egg, Half::downhill, {}), arc(egg, Half::uphill, to)).size();
    };
    CHECK(halves({30, 0}) == 0); // 20 m downhill and 10 m uphill
    CHECK(halves({30 * (1 - 1e-13), 0}) == 0);
    CHECK(halves({30 * (1 - 1e-9), 0}) == 2);
    CHECK(halves({0, 1}) == 0);  // level: each half meets its like
    CHECK(halves({-5, 1}) == 0); // uphill of it: the other way round
    CHECK(halves({5, 29}) == 1); // 30 m apart across they touch

    const auto likes = [&](Point to) {
        return crossings(arc(egg, Half::downhill, {}), arc(egg, Half::downhill, to)).size();
    };
    CHECK(likes({0, 30}) == 0);
    CHECK(likes({0, 30 * (1 - 1e-13)}) == 0);
    CHECK(likes({0, 30 * (1 - 1e-9)}) == 1); // the other crossing is on the uphill halves
    CHECK(likes({1, 1}) == 1);

    const auto line_at = [&](double x) {
        return crossings(Piece::line({x, -20}, {x, 20}), arc(egg, Half::downhill, {})).size();
    };
    CHECK(line_at(20) == 0);
    CHECK(line_at(20 * (1 - 1e-13)) == 0);
    CHECK(line_at(20 * (1 - 1e-9)) == 2);
    CHECK(line_at(-1) == 0);
}

TEST_CASE("closed forms: lines with lines, with circles and with ellipses")
{
    // A 3-4-5 triangle: the line x = 3 meets the circle of radius 5 at height 4.
    const Piece circle{{5, 0}, {5, 0}, true, {}, {5, 0}, {0, 5}, 0, full_turn};
    const auto on_circle = crossings(Piece::line({3, -9}, {3, 9}), circle);
    REQUIRE(on_circle.size() == 2);
    CHECK((on_circle[0] - Point{3, -4}).length() < 1e-14);
    CHECK((on_circle[1] - Point{3, 4}).length() < 1e-14);
    // The same stretched to three times the height.
    const Piece ellipse{{5, 0}, {5, 0}, true, {}, {5, 0}, {0, 15}, 0, full_turn};
    const auto on_ellipse = crossings(Piece::line({3, -29}, {3, 29}), ellipse);
    REQUIRE(on_ellipse.size() == 2);
    CHECK((on_ellipse[1] - Point{3, 12}).length() < 1e-13);
    // Circles of radius 5 and sqrt(20) with centres 5 apart: x^2 + y^2 = 25 and (x - 5)^2 + y^2 =
    // 20 give x = 3.
    const double r = std::sqrt(20.0);
    const Piece other{{5 + r, 0}, {5 + r, 0}, true, {5, 0}, {r, 0}, {0, r}, 0, full_turn};
    const auto of_circles = crossings(circle, other);
    REQUIRE(of_circles.size() == 2);
    CHECK((of_circles[0] - Point{3, 4}).length() < 1e-14);
    CHECK((of_circles[1] - Point{3, -4}).length() < 1e-14);
    const auto of_lines = crossings(Piece::line({0, 0}, {8, 4}), Piece::line({0, 4}, {8, 0}));
    REQUIRE(of_lines.size() == 1);
    CHECK((of_lines[0] - Point{4, 2}).length() < 1e-14);
}

} // namespace fuelring
