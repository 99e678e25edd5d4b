// SPDX-License-Identifier: Apache-2.0

// Structures far from the rest are named; a community in several places is none.
#include "community_fixture.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

using namespace fuelring;
using namespace fuelring::test;

namespace {

/// So many houses from `x` m on to the east, 20 m apart.
void add_houses(std::vector<FeatureSpec>& houses, const std::string& prefix, int count, double x)
{
    for (int k = 0; k < count; ++k)
        houses.push_back({rectangle(x + 20 * k, -50, 10, 10), {fmt::format("{}{:02}", prefix, k)}});
}

} // namespace

TEST_CASE("structures far from the rest are named with their place and distance")
{
    Town town;
    std::vector<FeatureSpec> houses;
    add_houses(houses, "a", 30, 0);
    // The corner of the raster lies at x 500000, y 5540000 of the CRS.
    houses.push_back({rectangle(-500'000, -5'540'000, 10, 10), {"null"}});
    add_houses(houses, "other", 2, 60'000);
    town.structures(houses);
    CHECK(town.read().structures.size() == 33); // they are structures nevertheless
    const Warning* w = town.warning("structures_far_off");
    REQUIRE(w);
    CHECK(w->count == 3);
    CHECK(w->text == "3 structures are far from all others: a wrong coordinate, or another place");
    // hypot(500, 5540) = 5562.5 km; from the last house of the row, at 580 m, 59.4 km.
    CHECK(w->examples == std::vector<std::string>{"null (x 5, y 5; 5562 km off)",
                                                  "other00 (x 560005, y 5539955; 59 km off)",
                                                  "other01 (x 560025, y 5539955; 59 km off)"});
}

TEST_CASE("a community in several places has no strays, nor has a farm some kilometres off")
{
    struct Case {
        std::string why;
        int there;
        double x;
        bool strays;
    };
    const Case cases[] = {{"two places of like size", 30, 40'000, false},
                          {"a hamlet of a tenth", 3, 40'000, false},
                          {"less than a tenth", 2, 40'000, true},
                          {"a farm at 4 km", 1, 4'000, false}};
    for (const Case& c : cases) {
        CAPTURE(c.why);
        Town town;
        std::vector<FeatureSpec> houses;
        add_houses(houses, "a", 30, 0);
        add_houses(houses, "b", c.there, c.x);
        town.structures(houses);
        town.read();
        CHECK((town.warning("structures_far_off") != nullptr) == c.strays);
    }
}

TEST_CASE("addresses near structures that join none are one loud warning with the nearest distance")
{
    Town town;
    town.structures({{rectangle(10, -20, 10, 10), {"a"}}});
    town.addresses({{point(50, -15), {"1"}}, {point(40, -15), {"2"}}}); // walls at 30 and 20 m
    CHECK(town.read().addresses.size() == 2);
    REQUIRE(town.warning("addresses_not_joined"));
    CHECK(
        town.warning("addresses_not_joined")
            ->text.find(
                "no address joins a structure: none of 2 is within 10 m of a wall, the nearest is "
                "20.0 m off") == 0);
    CHECK(town.warning("addresses_not_joined")->count == 2);
}

TEST_CASE("addresses none of which is within a kilometre of a structure are refused")
{
    Town town;
    town.structures({{rectangle(10, -20, 10, 10), {"a"}}});
    town.addresses({{point(1021, -15), {"1"}}, {point(1900, -15), {"2"}}}); // 1001 m off
    CHECK(error_of([&] { town.read(); }).message().find("none of 2 addresses lies within 1000 m") !=
          std::string::npos);
    Town near;
    near.structures({{rectangle(10, -20, 10, 10), {"a"}}});
    near.addresses({{point(1019, -15), {"1"}}, {point(1900, -15), {"2"}}}); // 999 m
    CHECK(near.read().addresses.size() == 2);
}
