// SPDX-License-Identifier: Apache-2.0
#include "exposure/percentile.hpp"

#include <doctest/doctest.h>

#include <stdexcept>
#include <vector>

using namespace fuelring;
using doctest::Approx;

TEST_CASE("a percentile is linear between order statistics")
{
    const std::vector<double> values{1, 2, 4, 8, 16};
    CHECK(percentile(values, 0) == 1.0);
    CHECK(percentile(values, 25) == 2.0);
    CHECK(percentile(values, 50) == 4.0);
    CHECK(percentile(values, 100) == 16.0);
    CHECK(*percentile(values, 90) == Approx(8 + 0.6 * 8).epsilon(1e-15)); // place 3.6
    CHECK(*percentile(values, 5) == Approx(1.2).epsilon(1e-15));          // place 0.2
}

TEST_CASE("percentiles of evenly spaced values are evenly spaced")
{
    std::vector<double> values;
    for (int k = 0; k < 33; ++k)
        values.push_back(3 + 0.5 * k);
    for (int percent = 0; percent <= 100; ++percent) {
        CAPTURE(percent);
        CHECK(*percentile(values, percent) == Approx(3 + 0.16 * percent).epsilon(1e-14));
    }
}

TEST_CASE("a single value is each of its percentiles, none has none")
{
    const std::vector<double> one{0.25};
    CHECK(percentile(one, 5) == 0.25);
    CHECK(percentile(one, 95) == 0.25);
    CHECK_FALSE(percentile({}, 50).has_value());
}

TEST_CASE("the median of an even number of values is the mean of the middle two")
{
    CHECK(percentile(std::vector{0.0, 1.0, 2.0, 10.0}, 50) == 1.5);
    CHECK(percentile(std::vector{0.1, 0.1}, 37) == 0.1); // equal values give themselves
    CHECK_THROWS_AS(percentile(std::vector{1.0}, 100.5), std::logic_error);
    CHECK_THROWS_AS(percentile(std::vector{1.0}, -1), std::logic_error);
}
