// SPDX-License-Identifier: Apache-2.0
#include "change/shifts.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <set>
#include <stdexcept>
#include <utility>

using namespace fuelring;
using doctest::Approx;

namespace {

/// The disc unrolled to the unit square: area inside, turn from the x axis.
struct Place {
    double area = 0;
    double turn = 0;
};

std::vector<Place> unrolled(int draws, double radius_m)
{
    std::vector<Place> places;
    for (const Point& s : registration_shifts(draws, radius_m)) {
        const double turn = std::atan2(s.y, s.x) / (2 * std::numbers::pi);
        places.push_back(
            {(s.x * s.x + s.y * s.y) / (radius_m * radius_m), turn < -1e-12 ? turn + 1 : turn});
    }
    return places;
}

/// The largest difference between the share of points and the area of boxes from the origin. It is
/// met where a box ends at coordinates of points, with those points just inside or just outside.
double star_discrepancy(const std::vector<Place>& places)
{
    std::vector<double> x{1}, y{1};
    for (const Place& p : places) {
        x.push_back(p.area);
        y.push_back(p.turn);
    }
    double most = 0;
    for (const double right : x)
        for (const double top : y) {
            double inside = 0;
            double closed = 0;
            for (const Place& p : places) {
                inside += p.area < right && p.turn < top ? 1 : 0;
                closed += p.area <= right && p.turn <= top ? 1 : 0;
            }
            const auto n = static_cast<double>(places.size());
            most = std::max({most, right * top - inside / n, closed / n - right * top});
        }
    return most;
}

} // namespace

TEST_CASE("the first shift is none, and none goes beyond the radius")
{
    const std::vector<Point> shifts = registration_shifts(1000, 2.5);
    CHECK(shifts.front().x == 0);
    CHECK(shifts.front().y == 0);
    for (const Point& s : shifts)
        CHECK(std::hypot(s.x, s.y) <= 2.5);
    // 1/2 of the area, 1/3 of a turn; then 1/4 and 2/3.
    const double half_m = 2.5 * std::sqrt(0.5);
    CHECK(shifts[1].x == Approx(-half_m / 2).epsilon(1e-14));
    CHECK(shifts[1].y == Approx(half_m * std::sqrt(0.75)).epsilon(1e-14));
    CHECK(shifts[2].x == Approx(-1.25 / 2).epsilon(1e-14));
    CHECK(shifts[2].y == Approx(-1.25 * std::sqrt(0.75)).epsilon(1e-14));
}

TEST_CASE("more draws go on where fewer ended, bit for bit")
{
    const std::vector<Point> all = registration_shifts(100, 1);
    for (const int draws : {0, 1, 2, 31, 32, 33, 99}) {
        CAPTURE(draws);
        const std::vector<Point> some = registration_shifts(draws, 1);
        REQUIRE(some.size() == static_cast<std::size_t>(draws));
        CHECK(std::equal(some.begin(), some.end(), all.begin(),
                         [](Point a, Point b) { return a.x == b.x && a.y == b.y; }));
    }
}

TEST_CASE("every cell of rings and sectors of equal area holds one shift")
{
    struct Case {
        int rings, sectors;
    };
    const Case cases[] = {{2, 3}, {4, 3}, {2, 9}, {4, 9}, {8, 9}, {16, 27}, {32, 1}, {1, 27}};
    for (const Case& c : cases)
        for (const int first : {0, 5, 32}) {
            CAPTURE(c.rings);
            CAPTURE(c.sectors);
            CAPTURE(first);
            const int n = c.rings * c.sectors;
            const std::vector<Place> places = unrolled(first + n, 3);
            std::set<std::pair<int, int>> held;
            for (auto p = places.begin() + first; p != places.end(); ++p)
                held.emplace(static_cast<int>(std::floor(p->area * c.rings + 1e-9)),
                             static_cast<int>(std::floor(p->turn * c.sectors + 1e-9)));
            CHECK(held.size() == static_cast<std::size_t>(n));
        }
}

TEST_CASE("the star discrepancy of the shifts keeps the bound of their sequence")
{
    // Halton's sequence: N D* < s + product of ((b - 1) / (2 ln b) ln N + (b + 1) / 2). Source:
    // Niederreiter, Random Number Generation and Quasi-Monte Carlo Methods, 1992, theorem 3.6 (from
    // memory). For N = 2^a 3^b, by the cells above: a box differs from whole cells by less than a
    // ring and a sector, so D* <= 2^-a + 3^-b - 2^-a 3^-b.
    for (const int n : {8, 16, 32, 64, 100}) {
        CAPTURE(n);
        const double log_n = std::log(n);
        const double bound = 2 + (log_n / (2 * std::log(2.0)) + 1.5) * (log_n / std::log(3.0) + 2);
        CHECK(n * star_discrepancy(unrolled(n, 1)) < bound);
    }
    // 32 draws: computed separately from the definition.
    CHECK(star_discrepancy(unrolled(32, 1)) == Approx(5.0 / 48).epsilon(1e-12));
    CHECK(star_discrepancy(unrolled(36, 1)) <= 1.0 / 4 + 1.0 / 9 - 1.0 / 36);
    CHECK(star_discrepancy(unrolled(72, 1)) <= 1.0 / 8 + 1.0 / 9 - 1.0 / 72);
    CHECK(star_discrepancy(unrolled(144, 1)) <= 1.0 / 16 + 1.0 / 9 - 1.0 / 144);
}

TEST_CASE("shifts scale with the radius, and none is left at 0")
{
    const std::vector<Point> one = registration_shifts(32, 1);
    const std::vector<Point> two = registration_shifts(32, 2);
    for (std::size_t k = 0; k < one.size(); ++k) {
        CAPTURE(k);
        CHECK(two[k].x == 2 * one[k].x); // powers of 2 are exact
        CHECK(two[k].y == 2 * one[k].y);
    }
    for (const Point& s : registration_shifts(32, 0))
        CHECK((s.x == 0 && s.y == 0));
    CHECK_THROWS_AS(registration_shifts(-1, 1), std::logic_error);
    CHECK_THROWS_AS(registration_shifts(1, -1), std::logic_error);
    CHECK_THROWS_AS(registration_shifts(1, std::numeric_limits<double>::infinity()),
                    std::logic_error);
}
