// SPDX-License-Identifier: Apache-2.0
#include "exposure/draws.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

using namespace fuelring;

namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

/// A hamlet by hand: five homes, four draws.
///                          draw 0   1   2   3     first two in
///   a  North                   50  50  10  50     3 of 4
///   b  North                   40  60  20  60     3 of 4 (in draw 2 it is third)
///   c  South                   40  30  40  20     2 of 4 (in draw 0 it shares rank 2 with b)
///   d  South                    5   -  30   -     1 of the 2 in which it is mapped
///   e  outside                  1   1   1  10     never
struct Hand {
    Community community;
    std::vector<NeighbourhoodRow> rows;
    ExposureDraws exposures{5, 4};
    RegistrationDraws draws;

    Hand()
    {
        community.neighbourhoods = {"North", "South"};
        add("a", 0, {50, 50, 10, 50});
        add("b", 0, {40, 60, 20, 60});
        add("c", 1, {40.00001, 30, 40, 20}); // the same as b's in 4 decimals
        add("d", 1, {5, none, 30, none});
        add("e", {}, {1, 1, 1, 10});
        for (const std::size_t n : {1, 0}) { // in any order of ranks
            NeighbourhoodRow& row = rows.emplace_back();
            row.name = community.neighbourhoods[n];
            row.neighbourhood = n;
            row.rank = static_cast<std::int64_t>(n) + 1;
        }
        for (const char* name : {outside_row, community_row})
            rows.emplace_back().name = name;
        draws.structures.resize(5);
        draws.first_structures = 2;
        draws.first_neighbourhoods = 1;
    }

    void add(const std::string& id, std::optional<std::size_t> neighbourhood,
             const std::vector<double>& drawn)
    {
        Structure& s = community.structures.emplace_back();
        s.id = id;
        s.neighbourhood = neighbourhood;
        std::copy(drawn.begin(), drawn.end(),
                  exposures.of(community.structures.size() - 1).begin());
    }
};

} // namespace

TEST_CASE("the share of draws among the first counts ranks as the table does")
{
    Hand hand;
    rank_draws(hand.community, hand.rows, hand.exposures, RankBy::exposure, hand.draws);
    const auto share = [&](std::size_t i) { return hand.draws.structures[i].in_first; };
    CHECK(share(0) == 0.75);
    CHECK(share(1) == 0.75);
    CHECK(share(2) == 0.5);
    CHECK(share(3) == 0.5);
    CHECK(share(4) == 0.0);
}

TEST_CASE("neighbourhoods are ranked in every draw by the mean of those with an exposure")
{
    // North: 45, 55, 15, 55; South: (40.00001 + 5) / 2, 30, 35, 20.
    Hand hand;
    rank_draws(hand.community, hand.rows, hand.exposures, RankBy::exposure, hand.draws);
    REQUIRE(hand.draws.neighbourhoods.size() == 4);
    const NeighbourhoodDraws& south = hand.draws.neighbourhoods[0];
    CHECK(south.in_first == 0.25);
    CHECK(hand.draws.neighbourhoods[1].in_first == 0.75);
    // Of 20, 22.5, 30 and 35 the 5th percentile lies 0.15 of the way from the first to the second.
    CHECK(south.mean_exposure.p05.value() == doctest::Approx(20 + 0.15 * 2.500005));
    CHECK(south.mean_exposure.p95.value() == doctest::Approx(30 + 0.85 * 5));
    const NeighbourhoodDraws& outside = hand.draws.neighbourhoods[2];
    CHECK_FALSE(outside.in_first.has_value()); // no neighbourhood, no rank
    CHECK(outside.mean_exposure.p95.value() == doctest::Approx(1 + 0.85 * 9));
    // All: 136.00001 / 5, 141 / 4, 101 / 5, 140 / 4.
    const NeighbourhoodDraws& all = hand.draws.neighbourhoods[3];
    CHECK(all.mean_exposure.p05.value() == doctest::Approx(20.2 + 0.15 * (27.200002 - 20.2)));
    CHECK(all.mean_exposure.p95.value() == doctest::Approx(35 + 0.85 * 0.25));
}

TEST_CASE("a neighbourhood without a rank is first in no draw, and takes nobody's place")
{
    Hand hand;
    hand.rows[1].rank.reset(); // North, which is first in three of four
    rank_draws(hand.community, hand.rows, hand.exposures, RankBy::exposure, hand.draws);
    CHECK(hand.draws.neighbourhoods[0].in_first == 1.0);
    CHECK_FALSE(hand.draws.neighbourhoods[1].in_first.has_value());
    CHECK(hand.draws.neighbourhoods[1].mean_exposure.p05.has_value());
}

TEST_CASE("with multipliers the draws are ranked by what ranks the run")
{
    // d counts ninefold: 45, -, 270, -; South: 42.500005, 30, 155, 20; North as it was: 45, ...
    Hand hand;
    hand.community.susceptibility = {1, 1, 1, 9, 1};
    rank_draws(hand.community, hand.rows, hand.exposures, RankBy::exposure_x_susceptibility,
               hand.draws);
    CHECK(hand.draws.structures[3].in_first == 1.0); // second to a in draw 0, first in draw 2
    CHECK(hand.draws.structures[2].in_first == 0.25);
    CHECK(hand.draws.structures[1].in_first == 0.5);
    CHECK(hand.draws.neighbourhoods[0].in_first == 0.25);
    const Spread& south = hand.draws.neighbourhoods[0].mean_exposure; // not multiplied
    CHECK(south.p95.value() == doctest::Approx(30 + 0.85 * 5));
}

TEST_CASE("where more ranks count as first than there are, all are among the first")
{
    Hand hand;
    hand.draws.first_structures = 10;
    hand.draws.first_neighbourhoods = 3;
    rank_draws(hand.community, hand.rows, hand.exposures, RankBy::exposure, hand.draws);
    for (const StructureDraws& s : hand.draws.structures)
        CHECK(s.in_first == 1.0);
    CHECK(hand.draws.neighbourhoods[0].in_first == 1.0);
}

TEST_CASE("a structure that no draw maps has no share, and takes nobody's place")
{
    Hand hand;
    for (double& e : hand.exposures.of(0))
        e = none;
    rank_draws(hand.community, hand.rows, hand.exposures, RankBy::exposure, hand.draws);
    CHECK_FALSE(hand.draws.structures[0].in_first.has_value());
    CHECK(hand.draws.structures[1].in_first == 0.75); // in draw 2 it is third still
    CHECK(hand.draws.structures[2].in_first == 1.0);
}

TEST_CASE("the first tenth is rounded up and never empty")
{
    CHECK(first_of({}, 0) == 1);
    CHECK(first_of({}, 1) == 1);
    CHECK(first_of({}, 10) == 1);
    CHECK(first_of({}, 11) == 2);
    CHECK(first_of({}, 3723) == 373);
    CHECK(first_of(25, 3723) == 25);
}
