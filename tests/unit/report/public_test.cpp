// SPDX-License-Identifier: Apache-2.0

// What the public may see of neighbourhoods.
#include "picture.hpp"
#include "report/neighbourhood_figures.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>

#include <algorithm>

using namespace fuelring;
using namespace fuelring::test;

namespace {

const NeighbourhoodFigures* row_named(const std::vector<NeighbourhoodFigures>& rows,
                                      const std::string& name)
{
    const auto found = std::find_if(rows.begin(), rows.end(),
                                    [&](const NeighbourhoodFigures& r) { return r.name == name; });
    return found == rows.end() ? nullptr : &*found;
}

} // namespace

TEST_CASE("small neighbourhoods are counted together, with the smallest others until they are five")
{
    std::vector<Home> homes;
    add(homes, 9, "Large", 1);
    add(homes, 6, "Middle", 20);
    add(homes, 2, "Tiny", 30);
    add(homes, 1, "", 50);
    const RunPicture picture = picture_of({"Large", "Middle", "Tiny"}, homes);
    const auto rows = public_figures(picture);
    REQUIRE(rows.size() == 3);
    CHECK(row_named(rows, "Large"));
    CHECK_FALSE(row_named(rows, "Tiny"));
    CHECK_FALSE(
        row_named(rows, "Middle")); // 3 homes left over are too few: the next smallest joins
    const NeighbourhoodFigures* others = row_named(rows, "(all others)");
    REQUIRE(others);
    CHECK(others->structures == 9);
    // Means 22.5 of 6, 30.5 of 2 and 50 of 1: (135 + 61 + 50) / 9.
    CHECK(others->mean_exposure.value() == doctest::Approx(246.0 / 9).epsilon(1e-12));
    CHECK(others->conifer_ha_within.empty());
    for (const NeighbourhoodFigures& row : rows) {
        CHECK_FALSE(row.p90_exposure);
        CHECK_FALSE(row.by_class);
    }
}

TEST_CASE("what counts for the public are homes with an exposure, whose mean would show them")
{
    std::vector<Home> homes;
    add(homes, 9, "Large", 1);
    add(homes, 1, "Dark", 70);
    add(homes, 8, "Dark", std::nan(""));
    const auto rows = public_figures(picture_of({"Large", "Dark"}, homes));
    CHECK_FALSE(row_named(rows, "Dark"));
    CHECK_FALSE(row_named(rows, "Large"));
    CHECK(row_named(rows, "(all others)")->structures == 18);
}

TEST_CASE("a neighbourhood of which nothing is measured shows nobody, and stays")
{
    std::vector<Home> homes;
    add(homes, 9, "Large", 1);
    add(homes, 9, "Off the map", std::nan(""));
    const auto rows = public_figures(picture_of({"Large", "Off the map"}, homes));
    REQUIRE(rows.size() == 3);
    CHECK_FALSE(row_named(rows, "(all others)"));
    const NeighbourhoodFigures* off = row_named(rows, "Off the map");
    REQUIRE(off);
    CHECK(off->measured == 0);
    CHECK_FALSE(off->mean_exposure);
}

TEST_CASE("nothing is merged where nothing is small")
{
    std::vector<Home> homes;
    add(homes, 5, "A", 1);
    add(homes, 5, "B", 1);
    const auto rows = public_figures(picture_of({"A", "B"}, homes));
    CHECK(rows.size() == 3);
    CHECK_FALSE(row_named(rows, "(all others)"));
}

TEST_CASE("a community of four homes has no public page")
{
    std::vector<Home> homes;
    add(homes, 4, "A", 1);
    CHECK_THROWS_AS(public_figures(picture_of({"A"}, homes)), Error);
}
