// SPDX-License-Identifier: Apache-2.0
#include "change/matching.hpp"

#include <doctest/doctest.h>

using namespace fuelring;

TEST_CASE("ids go before outlines, and outlines by how much they share")
{
    const std::vector<MatchCandidate> before{{"a", 100}, {"b", 100}, {"c", 100}, {"d", 100}};
    const std::vector<MatchCandidate> after{{"a", 100}, {"x", 100}, {"y", 100}, {"d", 100}};
    const std::vector<SharedGround> shared{{0, 0, 10, false},  // a little of the same id is enough
                                           {0, 1, 95, false},  // and takes part in nothing else
                                           {1, 1, 70, false},  // 70 of 130: more than half
                                           {2, 1, 80, false},  // 80 of 120: more than that
                                           {1, 2, 66, false},  // 66 of 134: less than half
                                           {3, 3, 100, true}}; // the same outline
    const auto matches = match_structures(before, after, shared);
    REQUIRE(matches.size() == 5);
    CHECK(matches[0].kind == MatchKind::redrawn);
    CHECK(matches[0].before == 0);
    CHECK(matches[1].kind == MatchKind::renamed);
    CHECK(matches[1].before == 2);
    CHECK(matches[2].kind == MatchKind::added);
    CHECK(matches[3].kind == MatchKind::same);
    CHECK(matches[4].kind == MatchKind::removed);
    CHECK(matches[4].before == 1);
}

TEST_CASE("an id on other ground is another structure")
{
    const std::vector<MatchCandidate> one{{"a", 100}};
    const auto matches = match_structures(one, one, {});
    REQUIRE(matches.size() == 2);
    CHECK(matches[0].kind == MatchKind::added);
    CHECK(matches[1].kind == MatchKind::removed);
}
