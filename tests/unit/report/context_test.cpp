// SPDX-License-Identifier: Apache-2.0
#include "report/context.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

using namespace fuelring;

namespace {

double area_of(const PictureShape& shape)
{
    double twice = 0;
    for (const Loop& loop : shape)
        for (std::size_t k = 0; k < loop.size(); ++k)
            twice += cross(loop[k], loop[(k + 1) % loop.size()]);
    return std::abs(twice) / 2;
}

double length_of(const std::vector<std::vector<Point>>& lines)
{
    double sum = 0;
    for (const std::vector<Point>& line : lines)
        for (std::size_t k = 0; k + 1 < line.size(); ++k)
            sum += (line[k + 1] - line[k]).length();
    return sum;
}

double distance_to(const std::vector<Point>& line, Point p)
{
    double least = HUGE_VAL;
    for (std::size_t k = 0; k + 1 < line.size(); ++k) {
        const Point d = line[k + 1] - line[k];
        const double t = std::clamp(dot(p - line[k], d) / dot(d, d), 0.0, 1.0);
        least = std::min(least, (p - (line[k] + t * d)).length());
    }
    return least;
}

const Box square{{0, 0}, {10, 10}};

} // namespace

TEST_CASE("lines and areas are cut at the sides of what is shown")
{
    Context context;
    // In and out again twice, along a side, and past a corner.
    context.layers.push_back({ContextKind::streets,
                              {{{-5, 5}, {15, 5}},
                               {{2, 12}, {2, 8}, {4, 8}, {4, 12}},
                               {{0, 3}, {0, 7}},
                               {{-3, 1}, {1, -3}},
                               {{20, 20}, {30, 20}}},
                              {}});
    context.layers.push_back({ContextKind::water, {}, {{{{-5, -5}, {5, -5}, {5, 5}, {-5, 5}}}}});
    context.layers.push_back({ContextKind::paths, {{{11, 0}, {11, 10}}}, {}});
    const Context cut = within(context, square);
    REQUIRE(cut.layers.size() == 2); // nothing of the path is left
    CHECK(cut.layers[0].lines.size() == 3);
    CHECK(length_of(cut.layers[0].lines) == doctest::Approx(10 + 2 + 2 + 2 + 4));
    REQUIRE(cut.layers[1].areas.size() == 1);
    CHECK(area_of(cut.layers[1].areas[0]) == doctest::Approx(25));
}

TEST_CASE("generalised lines stay within the tolerance, and fit the budget")
{
    std::vector<Point> river;
    for (int k = 0; k <= 5000; ++k)
        river.push_back({0.2 * k, 30 * std::sin(0.01 * k) + 0.05 * (k % 3)});
    Loop lake;
    for (int k = 0; k < 500; ++k)
        lake.push_back({40 * std::cos(k * 0.012566), 40 * std::sin(k * 0.012566)});
    const Context context{{{ContextKind::water, {river, {{0, 0}, {0.1, 0}}}, {{lake}}}},
                          "the town"};

    const Context less = generalised(context, 0.5);
    REQUIRE(less.layers.size() == 1);
    REQUIRE(less.layers[0].lines.size() == 1); // the other is shorter than that
    const std::vector<Point>& line = less.layers[0].lines[0];
    CHECK(line.size() < 200);
    CHECK((line.front() == river.front() && line.back() == river.back()));
    double furthest = 0;
    for (const Point p : river)
        furthest = std::max(furthest, distance_to(line, p));
    CHECK(furthest <= 0.5);
    CHECK(area_of(less.layers[0].areas[0]) == doctest::Approx(1600 * 3.14159265).epsilon(0.02));

    for (const std::size_t most : {300U, 40U, 10U, 0U})
        CHECK(vertices_of(generalised_to(context, 0.1, most)) <= most);
    CHECK(generalised_to(context, 0.1, 300).credit == "the town");
    CHECK(generalised_to(context, 0.1, 0).empty());
}
