// SPDX-License-Identifier: Apache-2.0

// Ranks over trials, by hand.
#include "sensitivity/sensitivity.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <map>

using namespace fuelring;
using doctest::Approx;

TEST_CASE("ranges of ranks, shares among the first and order over trials are counted by hand")
{
    const double none = std::numeric_limits<double>::quiet_NaN();
    RankTally tally{4, 2};
    tally.compare(0, 1);
    tally.compare(2, 3);
    tally.add(std::vector<double>{9, 8, 7, none});       // 1 2 3
    tally.add(std::vector<double>{8, 8, 9, none});       // 2 2 1: a tie is half
    tally.add(std::vector<double>{1, 8, none, none});    // 2 1
    tally.add(std::vector<double>{5.00001, 5, 9, none}); // equal at 4 decimals: 2 2 1
    CHECK(tally.of(0).best == 1);
    CHECK(tally.of(0).worst == 2);
    CHECK(tally.of(0).in_first == 1.0);
    CHECK(tally.of(1).best == 1);
    CHECK(tally.of(2).worst == 3);
    CHECK(*tally.of(2).in_first == Approx(2.0 / 3));
    CHECK_FALSE(tally.of(3).best);
    CHECK_FALSE(tally.of(3).in_first);
    CHECK(tally.above(0) == (1 + 0.5 + 0 + 0.5) / 4);
    CHECK_FALSE(tally.above(1));
}

TEST_CASE("joined rings have the ground of those they are made of")
{
    const RingPlan fine; // 1.5, 10, 30, 100
    RingPlan coarse{{10, 100}, {0.5, 0.5}};
    StructureMeasure m;
    for (const double k : {1.0, 2.0, 3.0, 4.0})
        m.rings.push_back({10 * k, 8 * k, k, 2 * k, 2 * k});
    REQUIRE(joins(fine, coarse));
    CHECK_FALSE(joins(fine, RingPlan{{20}, {1}}));
    const StructureMeasure j = joined(m, fine, coarse);
    REQUIRE(j.rings.size() == 2);
    CHECK(j.rings[0].conifer_m2 == 3);
    CHECK(j.rings[1].mapped_m2 == 56);
    // By hand: 50 % x 3 / 24 + 50 % x 7 / 56.
    CHECK(exposure(j, coarse) == Approx(50 * (3.0 / 24 + 7.0 / 56)).epsilon(1e-14));
}

TEST_CASE("resampled homes are drawn evenly, with replacement, and again the same")
{
    std::map<std::size_t, int> times;
    for (std::uint64_t draw = 0; draw < 1000; ++draw) {
        const auto homes = resampled(10, 5, draw, 3);
        REQUIRE(homes.size() == 10);
        CHECK(homes == resampled(10, 5, draw, 3));
        for (const std::size_t home : homes)
            ++times[home];
    }
    REQUIRE(times.size() == 10);
    for (const auto& [home, n] : times) // binomial: 1000 +- 4 x 30
        CHECK(std::abs(n - 1000) < 120);
    CHECK(resampled(10, 5, 0, 3) != resampled(10, 6, 0, 3));
    CHECK(resampled(10, 5, 0, 3) != resampled(10, 5, 0, 4));
}

TEST_CASE("neighbours in the ranking that often change places are a toss-up")
{
    using Groups = std::vector<std::vector<std::size_t>>;
    const std::vector<std::optional<double>> above{0.95, 0.89, 0.6, 0.9, std::nullopt};
    CHECK((toss_ups(above) == Groups{{0}, {1, 2, 3}, {4}, {5}}));
    CHECK((toss_ups({}) == Groups{{0}}));
}
