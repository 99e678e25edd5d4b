// SPDX-License-Identifier: Apache-2.0
#include "exposure/gain_classes.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>

using namespace fuelring;

namespace {

std::vector<GainClass> classes_of(const std::vector<float>& cells)
{
    GainHistogram histogram;
    for (const float points : cells)
        histogram.add(points);
    return histogram.classes();
}

} // namespace

TEST_CASE("the best cells that together hold a quarter are the first class")
{
    // Ten cells of 10 to 1 points, 55 in all: 10 + 9 hold 13.75, 10 + ... + 7 hold 27.5 and more.
    std::vector<float> cells(10);
    std::iota(cells.begin(), cells.end(), 1.0F);
    cells.push_back(0);
    cells.push_back(std::nanf(""));
    const std::vector<GainClass> found = classes_of(cells);
    REQUIRE(found.size() == 5);
    const std::array<std::int64_t, 5> counts{2, 2, 2, 2, 2}; // 19, 34, 45, 52 and 55 of 55
    for (std::size_t k = 0; k < 5; ++k)
        CHECK(found[k].cells == counts[k]);
    CHECK(found[0].points == 19);
    CHECK(gain_class(found, 9) == 0); // a bound belongs to the class above it
    CHECK(gain_class(found, 8.999) == 1);
    CHECK(gain_class(found, 1) == 4);
    CHECK(gain_class(found, 0) == 5);
    CHECK(gain_class(found, std::nan("")) == 5);
}

TEST_CASE("every class ends where its share is reached, and no step sooner")
{
    std::mt19937 random{7};
    std::lognormal_distribution<float> points{-3, 2};
    std::vector<float> cells(20000);
    std::generate(cells.begin(), cells.end(), [&] { return points(random); });
    const std::vector<GainClass> found = classes_of(cells);
    REQUIRE(found.size() == gain_shares.size());
    std::sort(cells.rbegin(), cells.rend());
    const double all = std::accumulate(cells.begin(), cells.end(), 0.0);
    for (std::size_t k = 0; k < found.size(); ++k) {
        double held = 0;
        double above_step = 0;
        for (const float v : cells) {
            held += v >= found[k].from ? v : 0;
            above_step += v >= found[k].from * (1 + 1.0 / 2048) ? v : 0;
        }
        CHECK(held >= gain_shares[k] * all * (1 - 1e-9));
        if (k + 1 < found.size())
            CHECK(above_step < gain_shares[k] * all);
    }
    std::int64_t cells_in_all = 0;
    for (const GainClass& c : found)
        cells_in_all += c.cells;
    CHECK(cells_in_all == 20000);
}

TEST_CASE("one cell that holds nine tenths leaves the classes it passes empty")
{
    const std::vector<GainClass> found = classes_of({90, 5, 5});
    REQUIRE(found.size() == 5);
    CHECK(found[0].cells == 1);
    CHECK(found[1].cells == 0);
    CHECK(found[3].cells == 0);
    CHECK(found[4].cells == 2);
    CHECK(gain_class(found, 90) == 0);
    CHECK(gain_class(found, 5) == 4);
    CHECK(classes_of({0, std::nanf("")}).empty());
}

TEST_CASE("a legend says how much land a class is")
{
    CHECK(gain_class_name(0, 0.104) == "first quarter of the gain: 0.10 ha");
    CHECK(gain_class_name(4, 14.52) == "last tenth: 14.5 ha");
    CHECK(gain_class_name(3, 1234) == "up to nine tenths: 1234 ha");
}
