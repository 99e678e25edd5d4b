// SPDX-License-Identifier: Apache-2.0
#include "coverage/walk.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace fuelring;
using namespace fuelring::coverage;

namespace {

constexpr double pi = std::numbers::pi;

Point on_arc(const Piece& p, double t)
{
    return p.centre + std::cos(t) * p.u + std::sin(t) * p.v;
}

Piece arc(Point centre, Point u, Point v, double t0, double t1)
{
    Piece p{{}, {}, true, centre, u, v, t0, t1};
    p.start = on_arc(p, t0);
    p.end = on_arc(p, t1);
    return p;
}

/// Integral of x dy along the whole piece: trapezoid, plus (u x v) / 2 (dt - sin dt) for an arc.
double x_dy_of(const Piece& p)
{
    const double trapezoid = (p.start.x + p.end.x) / 2 * (p.end.y - p.start.y);
    const double dt = p.t1 - p.t0;
    return p.arc ? trapezoid + cross(p.u, p.v) / 2 * (dt - std::sin(dt)) : trapezoid;
}

/// Checks the laws of `walk`; returns the number of stretches.
int check_laws(const Piece& p, double scale)
{
    double x_dy = 0;
    double y = p.start.y;
    int stretches = 0;
    walk(p, [&](const Stretch& s) {
        ++stretches;
        CHECK(s.y0 == y); // ends are shared bit for bit
        y = s.y1;
        CHECK(s.y0 >= s.row);
        CHECK(s.y0 <= s.row + 1);
        CHECK(s.y1 >= s.row);
        CHECK(s.y1 <= s.row + 1);
        x_dy += s.x_dy + s.col * (s.y1 - s.y0);
    });
    CHECK(y == p.end.y);
    CHECK(std::abs(x_dy - x_dy_of(p)) < 1e-13 * scale * scale);
    return stretches;
}

} // namespace

TEST_CASE("a line is cut where it crosses the grid and its parts add up")
{
    std::mt19937_64 rng{1};
    std::uniform_real_distribution<double> place{-50, 50};
    for (int i = 0; i < 2000; ++i) {
        CAPTURE(i);
        check_laws(Piece::line({place(rng), place(rng)}, {place(rng), place(rng)}), 50);
    }
}

TEST_CASE("lines along and through grid points do not lose a cell")
{
    CHECK(check_laws(Piece::line({0, 0}, {5, 5}), 5) >= 5);
    CHECK(check_laws(Piece::line({3, 7}, {3, 2}), 5) == 5);
    CHECK(check_laws(Piece::line({-4, 2}, {4, 2}), 5) == 8);
    check_laws(Piece::line({0.5, 0.5}, {0.5, 0.5}), 1);
}

TEST_CASE("arcs of circles and ellipses are cut exactly, at any size and turn")
{
    std::mt19937_64 rng{2};
    std::uniform_real_distribution<double> unit{0, 1};
    for (int i = 0; i < 4000; ++i) {
        CAPTURE(i);
        const double r = std::pow(10, 4 * unit(rng) - 1.5); // 0.03 to 300 cells
        const double squeeze = i % 2 ? 1 : 0.2 + unit(rng);
        const double turn = i % 3 ? 0 : 2 * pi * unit(rng);
        const double side = i % 5 ? 1 : -1; // rows downwards turn an arc round
        const Point u = r * Point{std::cos(turn), side * std::sin(turn)};
        const Point v = r * squeeze * Point{-std::sin(turn), side * std::cos(turn)};
        const double t0 = 2 * pi * (unit(rng) - 0.5);
        const double t1 = t0 + 2 * pi * (i % 7 ? unit(rng) : 1);
        check_laws(arc({10 * unit(rng), 10 * unit(rng)}, u, v, t0, t1), r + 10);
    }
}

TEST_CASE("the segment between arc and chord keeps its digits from tiny to half circles")
{
    // dt - sin dt = dt^3/6 - dt^5/120 + ...; for large dt by the library's sine.
    for (const double dt : {1e-6, 1e-3, 0.02}) {
        CAPTURE(dt);
        const double d2 = dt * dt;
        const double series = dt * d2 / 6 * (1 - d2 / 20 * (1 - d2 / 42 * (1 - d2 / 72)));
        CHECK(segment_of_half_chord(std::sin(dt / 2)) == doctest::Approx(series).epsilon(1e-14));
    }
    for (const double dt : {0.15, 0.2003, 0.5, 1.0, 3.0, pi}) {
        CAPTURE(dt);
        CHECK(std::abs(segment_of_half_chord(std::sin(dt / 2)) - (dt - std::sin(dt))) < 1e-15 * 4);
    }
}
