// SPDX-License-Identifier: Apache-2.0

// What the public may see of neighbourhoods.
#include "picture.hpp"
#include "report/neighbourhood_figures.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>

#include <algorithm>
#include <random>
#include <set>

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

void rank_rows(RunPicture& picture, std::vector<double> ranks)
{
    ranks.resize(picture.neighbourhoods.table.rows, std::nan(""));
    picture.neighbourhoods.table.columns.push_back(numbers("rank", ranks));
}

struct Town {
    std::vector<std::string> names;
    std::vector<Home> homes;
};

/// One to nine neighbourhoods of up to 11 homes, some of them without an exposure, and some homes
/// outside; five homes of the first have one.
Town random_town(std::mt19937& random)
{
    const auto up_to = [&random](unsigned n) { return static_cast<int>(random() % (n + 1)); };
    Town town;
    const int places = 1 + up_to(8);
    for (int n = 0; n < places; ++n) {
        town.names.push_back("N" + std::to_string(n));
        add(town.homes, (n == 0 ? 5 : 0) + up_to(6), town.names.back(), up_to(60));
        add(town.homes, up_to(5), town.names.back(), std::nan(""));
    }
    add(town.homes, up_to(7), "", up_to(60));
    return town;
}

/// Homes with an exposure in rows of the neighbourhood table, counted one by one.
std::int64_t measured_in(const RunPicture& picture, const std::vector<std::size_t>& members)
{
    std::int64_t count = 0;
    const PictureTable& structures = picture.structures.table;
    for (std::size_t i = 0; i < structures.rows; ++i) {
        const std::string name = structures.text("neighbourhood", i);
        for (const std::size_t row : members)
            if (picture.neighbourhoods.table.text("neighbourhood", row) ==
                    (name.empty() ? std::string{outside_row} : name) &&
                !std::isnan(structures.number("exposure", i)))
                ++count;
    }
    return count;
}

/// In all rows but the community's.
std::int64_t homes_in(const std::vector<NeighbourhoodFigures>& rows)
{
    std::int64_t count = 0;
    for (const NeighbourhoodFigures& row : rows)
        count += row.kind == NeighbourhoodFigures::Kind::community ? 0 : row.structures;
    return count;
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

TEST_CASE("the public numbers ranks among what is published, and equal ranks stay equal")
{
    std::vector<Home> homes;
    add(homes, 9, "A", 30);
    add(homes, 2, "Hidden", 25);
    add(homes, 8, "B", 20);
    add(homes, 8, "C", 20);
    add(homes, 4, "Hidden too", 10);
    add(homes, 7, "D", 1);
    RunPicture picture = picture_of({"A", "Hidden", "B", "C", "Hidden too", "D"}, homes);
    rank_rows(picture, {1, 2, 3, 3, 5, 6});
    const auto rows = public_figures(picture);
    const auto rank_of = [&](const char* name) { return row_named(rows, name)->rank; };
    CHECK(rank_of("A") == 1);
    CHECK(rank_of("B") == 2);
    CHECK(rank_of("C") == 2);
    CHECK(rank_of("D") == 4); // two of the second rank, as in every table of the run
    CHECK_FALSE(rank_of("(all others)"));
}

TEST_CASE("of what is published no sum or difference is of fewer than five homes")
{
    // Every figure of the public table is a sum over whole neighbourhoods. What can be worked out
    // is any sum of them with any weights: of all neighbourhoods that are not shown by name, one
    // sum alone.
    std::mt19937 random{20261129};
    for (int town = 0; town < 300; ++town) {
        CAPTURE(town);
        const Town made = random_town(random);
        const RunPicture picture = picture_of(made.names, made.homes);
        const auto rows = public_figures(picture);
        std::set<std::size_t> shown;
        std::vector<std::size_t> merged;
        std::vector<std::int64_t> ranks;
        for (std::size_t k = 0; k + 1 < rows.size(); ++k) { // the last is the community
            if (rows[k].kind == NeighbourhoodFigures::Kind::merged)
                merged = rows[k].members;
            else
                shown.insert(rows[k].members.begin(), rows[k].members.end());
            const std::int64_t measured = measured_in(picture, rows[k].members);
            CHECK((measured == 0 || measured >= 5)); // of none there is no figure
            CHECK(rows[k].structures >= 5);
        }
        CHECK(rows.back().kind == NeighbourhoodFigures::Kind::community);
        if (!merged.empty())
            CHECK(measured_in(picture, merged) >= 5);
        for (const std::size_t hidden : merged)
            CHECK(shown.count(hidden) == 0);
        // Shown and merged are all homes, so taking rows off the community leaves rows.
        CHECK(homes_in(rows) == static_cast<std::int64_t>(made.homes.size()));
    }
}
