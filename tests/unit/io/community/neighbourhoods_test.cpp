// SPDX-License-Identifier: Apache-2.0
#include "community_fixture.hpp"

#include <doctest/doctest.h>

using namespace fuelring;
using namespace fuelring::test;

namespace {

/// A house of 10 x 10 m from x = 10 to 20.
Town one_house()
{
    Town town;
    town.structures({{rectangle(10, -20, 10, 10), {"a"}}});
    return town;
}

std::string neighbourhood_of_house(const Town& town)
{
    const Community community = town.read();
    const auto& index = community.structures.front().neighbourhood;
    return index ? community.neighbourhoods[*index] : "none";
}

} // namespace

TEST_CASE("a structure belongs to the neighbourhood that holds most of its footprint")
{
    struct Case {
        std::string_view why;
        std::vector<FeatureSpec> areas;
        std::string_view expected;
    };
    const Case cases[] = {
        {"all of it", {{rectangle(0, -50, 50, 50), {"Mill"}}}, "Mill"},
        {"most of it",
         {{rectangle(0, -50, 14, 50), {"East"}}, {rectangle(14, -50, 50, 50), {"West"}}},
         "West"},
        {"any share beats none", {{rectangle(0, -50, 10.1, 50), {"Mill"}}}, "Mill"},
        {"touching is not a share", {{rectangle(0, -50, 10, 50), {"Mill"}}}, "none"},
        {"far away", {{rectangle(100, -50, 10, 50), {"Mill"}}}, "none"},
        {"half and half: by name",
         {{rectangle(15, -50, 50, 50), {"B"}}, {rectangle(0, -50, 15, 50), {"A"}}},
         "A"},
        {"half and half, the other way round",
         {{rectangle(15, -50, 50, 50), {"A"}}, {rectangle(0, -50, 15, 50), {"B"}}},
         "A"},
        {"inside two that overlap: by name",
         {{rectangle(0, -50, 50, 50), {"Old Town"}}, {rectangle(5, -40, 50, 40), {"New Town"}}},
         "New Town"},
        {"parts of one name count together",
         {{rectangle(0, -50, 13, 50), {"Split"}},
          {rectangle(13, -50, 4, 50), {"Middle"}},
          {rectangle(17, -50, 50, 50), {"Split"}}},
         "Split"},
        {"parts of one name that overlap count once",
         {{rectangle(0, -50, 14, 50), {"Twice"}},
          {rectangle(0, -50, 14, 50), {"Twice"}},
          {rectangle(14, -50, 50, 50), {"Once"}}},
         "Once"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        Town town = one_house();
        town.neighbourhoods(c.areas);
        CHECK(neighbourhood_of_house(town) == c.expected);
        CHECK(town.warnings.size() == (c.expected == "none" ? 1U : 0U)); // none holds any structure
    }
}

TEST_CASE("a courtyard counts for no neighbourhood")
{
    Town town;
    // A frame 2 m wide about a courtyard of 16 x 16 m; "Yard" holds the yard and 1 m of the frame.
    town.structures({{"POLYGON ((500060 5539960, 500080 5539960, 500080 5539980, 500060 5539980, "
                      "500060 5539960), (500062 5539962, 500062 5539978, 500078 5539978, "
                      "500078 5539962, 500062 5539962))",
                      {"c"}}});
    town.neighbourhoods(
        {{rectangle(61, -39, 18, 18), {"Yard"}}, // 68 of 144 m2
         {"POLYGON ((500050 5539950, 500090 5539950, 500090 5539990, 500050 5539990, "
          "500050 5539950), (500061 5539961, 500061 5539979, 500079 5539979, "
          "500079 5539961, 500061 5539961))",
          {"Around"}}}); // 76 of 144 m2
    CHECK(neighbourhood_of_house(town) == "Around");
}

TEST_CASE("names are sorted bytewise; an outline that crosses itself is repaired and said")
{
    Town town = one_house();
    // A bow-tie whose left half holds the house.
    town.neighbourhoods({{"POLYGON ((500000 5539970, 500080 5539999, 500080 5539970, "
                          "500000 5539999, 500000 5539970))",
                          {"Tie"}},
                         {rectangle(150, -50, 10, 10), {"Abbey"}}});
    const Community community = town.read();
    CHECK(community.neighbourhoods == std::vector<std::string>{"Abbey", "Tie"});
    CHECK(community.structures.front().neighbourhood == 1U);
    REQUIRE(town.warning("repaired_neighbourhoods"));
    CHECK(town.warning("repaired_neighbourhoods")->examples == std::vector<std::string>{"Tie"});
}

TEST_CASE("neighbourhoods without a name are one, (unnamed), and are named by their features")
{
    Town town = one_house();
    town.neighbourhoods({{rectangle(0, -50, 50, 50), {std::nullopt}},
                         {rectangle(100, -50, 10, 10), {" \t"}},
                         {rectangle(120, -50, 10, 10), {"Abbey"}},
                         {rectangle(140, -50, 10, 10), {"(unnamed)"}}});
    const Community community = town.read();
    CHECK(community.neighbourhoods == std::vector<std::string>{"(unnamed)", "Abbey"});
    CHECK(community.structures.front().neighbourhood == 0U);
    REQUIRE(town.warning("neighbourhoods_without_name"));
    CHECK(town.warning("neighbourhoods_without_name")->count == 3);
    CHECK(town.warning("neighbourhoods_without_name")->examples ==
          std::vector<std::string>{"feature 1", "feature 2", "feature 4"});
}

TEST_CASE("neighbourhoods with a name that is taken are refused")
{
    Town taken = one_house();
    taken.neighbourhoods({{rectangle(0, -50, 50, 50), {"(outside)"}}});
    CHECK(error_of([&] { taken.read(); }).message().find("is a row of neighbourhoods.csv") !=
          std::string::npos);
    Town none = one_house();
    none.neighbourhoods({});
    CHECK(error_of([&] { none.read(); }).message().find("has no neighbourhoods") !=
          std::string::npos);
}
