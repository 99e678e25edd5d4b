// SPDX-License-Identifier: Apache-2.0

// Structures, addresses and neighbourhoods on a grid whose metres are not the ground's.
#include "unit/io/community/community_fixture.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cmath>

using namespace fuelring;
using namespace fuelring::test;
using doctest::Approx;

namespace {

constexpr int web_mercator = 3857;
constexpr Point corner{779'000, 6'447'000}; ///< near 7 E, 50 N

/// A village on a grid of Web Mercator, 1.55 of whose metres are one on the ground.
struct MercatorTown : Town {
    MercatorTown()
    {
        crs = Crs::from_user_input("EPSG:3857", "test");
        grid = Grid{{corner.x, 1, 0, corner.y, 0, -1}, 400, 400};
        ground = GroundScale{crs, axes_of(grid)};
    }
    Community read_scaled() const { return read_community(sources, {grid, crs, ground}, warnings); }
    /// Scales at metres of the grid from its corner.
    LocalScale scale_at(double x, double y) const
    {
        return ground.at({corner.x + x, corner.y - y});
    }

    GroundScale ground;
};

std::string box_wkt(double x, double y, double width, double height)
{
    const double left = corner.x + x;
    const double top = corner.y - y;
    return fmt::format("POLYGON (({0} {2}, {1} {2}, {1} {3}, {0} {3}, {0} {2}))", left,
                       left + width, top - height, top);
}

std::string point_wkt(double x, double y)
{
    return fmt::format("POINT ({} {})", corner.x + x, corner.y - y);
}

} // namespace

TEST_CASE("footprints on a scaled grid are measured in square metres of the ground")
{
    MercatorTown town;
    town.structures({{box_wkt(100, 100, 31, 15.5), {"a"}}}, web_mercator);
    const Community community = town.read_scaled();
    const Structure& s = community.structures.front();
    const LocalScale scale = town.scale_at(115.5, 107.75);
    CHECK(s.map_scale == scale);
    CHECK(scale.x == Approx(1.5526).epsilon(1e-3));
    CHECK(s.footprint_m2 == Approx(31 * 15.5 / scale.areal()).epsilon(1e-12));
    const Box box = bounds(s.footprint);
    CHECK(box.max.x - box.min.x == Approx(31 / scale.x).epsilon(1e-12));
    CHECK(box.max.y - box.min.y == Approx(15.5 / scale.y).epsilon(1e-12));
    // The point inside is given on the map, where it stands.
    CHECK(s.inside.x == Approx(corner.x + 115.5).epsilon(1e-9));
    CHECK(s.inside.y == Approx(corner.y - 107.75).epsilon(1e-9));
}

TEST_CASE("the smallest area that counts is of the ground")
{
    MercatorTown town;
    town.structures({{box_wkt(100, 100, 10, 10), {"a"}}, {box_wkt(150, 100, 20, 20), {"b"}}},
                    web_mercator);
    town.sources.structures.min_area_m2 = 50; // 10 x 10 of the grid are 41 m2
    const Community community = town.read_scaled();
    REQUIRE(community.structures.size() == 1);
    CHECK(community.structures.front().id == "b");
}

TEST_CASE("addresses join within metres of the ground")
{
    MercatorTown town;
    town.structures({{box_wkt(100, 100, 20, 20), {"a"}}}, web_mercator);
    const double reach = 10 * town.scale_at(120, 110).x; // 15.5 of the grid
    write_layer(town.folder / "points.gpkg",
                {.epsg = web_mercator, .columns = {"text"}, .geometry = "point"},
                {{point_wkt(120 + 0.99 * reach, 110), {"near"}},
                 {point_wkt(120 + 1.01 * reach, 110), {"far"}}});
    town.sources.addresses = AddressSource{{.path = town.folder / "points.gpkg"}, "text", 10};
    const Community community = town.read_scaled();
    REQUIRE(community.addresses.size() == 2);
    CHECK(community.addresses[0].structure == 0U);
    CHECK_FALSE(community.addresses[1].structure);
}

TEST_CASE("the neighbourhood with most of a footprint has it at any scale")
{
    MercatorTown town;
    town.structures({{box_wkt(100, 100, 20, 20), {"west"}}, {box_wkt(112, 200, 20, 20), {"east"}}},
                    web_mercator);
    write_layer(town.folder / "areas.gpkg", {.epsg = web_mercator, .columns = {"name"}},
                {{box_wkt(0, 0, 118, 400), {"West"}}, {box_wkt(118, 0, 200, 400), {"East"}}});
    town.sources.neighbourhoods = NeighbourhoodSource{{.path = town.folder / "areas.gpkg"}, "name"};
    const Community community = town.read_scaled();
    REQUIRE(community.structures.size() == 2);
    CHECK(community.neighbourhoods == std::vector<std::string>{"East", "West"});
    CHECK(community.structures[0].id == "east"); // 14 of 20 lie in East
    CHECK(community.structures[0].neighbourhood == 0U);
    CHECK(community.structures[1].neighbourhood == 1U); // 18 of 20 lie in West
}

TEST_CASE("the scale of a structure does not depend on its neighbours or their order")
{
    std::vector<FeatureSpec> features;
    for (int k = 0; k < 20; ++k)
        features.push_back(
            {box_wkt(20 + 15.3 * k, 300 - 11.7 * k, 9, 7), {fmt::format("{:02}", k)}});
    MercatorTown forth;
    forth.structures(features, web_mercator);
    const Community a = forth.read_scaled();
    std::reverse(features.begin(), features.end());
    MercatorTown back;
    back.structures({features.begin(), features.begin() + 11}, web_mercator);
    const Community b = back.read_scaled();
    for (const Structure& s : b.structures) {
        const auto same = std::find_if(a.structures.begin(), a.structures.end(),
                                       [&](const Structure& t) { return t.id == s.id; });
        REQUIRE(same != a.structures.end());
        CHECK(same->map_scale == s.map_scale);
        CHECK(same->footprint.loops == s.footprint.loops);
    }
}
