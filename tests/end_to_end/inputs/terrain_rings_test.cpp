// SPDX-License-Identifier: Apache-2.0

// Rings on sloping ground: stretched below the house, and drawn as a layer.
#include "end_to_end/terrain_runs.hpp"

using namespace fuelring::test;
using doctest::Approx;
using nlohmann::json;

TEST_CASE("rings end where the table of factors puts them, labels stay those of level ground")
{
    struct Case {
        double slope_deg, aspect_deg;
        std::string factors;
        std::array<double, 3> rings_m2;
        double down, across;
    };
    // A square of 10 m: area + sum of the body's support over four walls + pi across (down +
    // 1) r^2 / 2, by 30-digit arithmetic; the innermost ring stays round: 4 x 10 x 1.5 + pi 1.5^2.
    const std::string sides = "[{slope_deg = 5}, {slope_deg = 20, down = 2, across = 1.5}]";
    const Case cases[] = {
        {25, 0, "", {1032.710130908, 5498.229715026, 53879.863008417}, 2.5, 1},
        {40, 45, "", {1063.498786201, 5559.807025612, 54095.383595470}, 2.5, 1},
        {20, 90, "", {904.170314568, 4769.911184308, 46382.739721501}, 2, 1},
        {20, 135, sides, {1248.294129860, 6871.875509007, 68583.640146161}, 2, 1.5},
        {9.9, 200, "", {647.090681888, 3313.274122872, 31388.493147667}, 1, 1},
        {30, 45, "[]", {647.090681888, 3313.274122872, 31388.493147667}, 1, 1},
    };
    for (const Case& c : cases) {
        CAPTURE(c.slope_deg);
        CAPTURE(c.aspect_deg);
        Hamlet hamlet;
        if (!c.factors.empty())
            hamlet.config("terrain", "factors") = c.factors;
        map_on_ground(hamlet, {250, 250, two_metre_cells, 32611,
                               plane(100 * std::tan(c.slope_deg * degree), c.aspect_deg)});
        // The slope is good to 1e-10 of itself, and areas grow no faster than the square of it.
        const auto ring = [&](const char* label) {
            return *value(hamlet, fmt::format("\"ring_m2_{}\"", label), "A-4").number;
        };
        CHECK(ring("0_1.5m") == Approx(67.068583471).epsilon(1e-9));
        CHECK(ring("1.5_10m") == Approx(c.rings_m2[0]).epsilon(1e-9));
        CHECK(ring("10_30m") == Approx(c.rings_m2[1]).epsilon(1e-9));
        CHECK(ring("30_100m") == Approx(c.rings_m2[2]).epsilon(1e-9));
        CHECK(*value(hamlet, "ring_down_factor", "A-4").number == Approx(c.down).epsilon(1e-9));
        CHECK(*value(hamlet, "ring_across_factor", "A-4").number == Approx(c.across).epsilon(1e-9));
        CHECK(*value(hamlet, "ring_down_factor", "A-5").number == 1); // off the heights
        CHECK(manifest(hamlet).at("elevation").at("structures_with_stretched_rings") ==
              (c.down > 1 ? 4 : 0));
    }
}

TEST_CASE("ring outlines are a layer of the GeoPackage where the configuration asks for them")
{
    Hamlet hamlet;
    const ElevationFile slope{250, 250, two_metre_cells, 32611, plane(40, 60)};
    map_on_ground(hamlet, slope);
    const std::string layers = "SELECT count(*) FROM gpkg_contents WHERE table_name = "
                               "'ring_outlines'";
    CHECK(sql_number(hamlet.out() / "fuelring.gpkg", layers) == 0);
    hamlet.config("output", "ring_outlines") = "true";
    map_on_ground(hamlet, slope);
    CHECK(sql_number(hamlet.out() / "fuelring.gpkg", layers) == 1);
    const std::vector<SqlRow> rows =
        sql(hamlet.out() / "fuelring.gpkg",
            "SELECT ring, outer_m FROM ring_outlines WHERE structure_id = 'A-4' ORDER BY outer_m");
    REQUIRE(rows.size() == 4);
    CHECK(rows[0][0].text == "0_1.5m");
    CHECK(rows[3][0].text == "30_100m");
    CHECK(rows[3][1].number == 100);
    CHECK(manifest(hamlet).at("configuration").at("ring_outlines") == true);
}

TEST_CASE("the long side of a ring lies below the house on turned and mirrored grids")
{
    // Conifers 12 to 24 m below the south wall of A-3, and nowhere else: out of reach of 10 m
    // unless the ring is stretched to 25 m that way.
    const auto is_conifer = [](double x, double y) {
        return x > 600163 && x < 600168 && y > 5600126 && y < 5600138;
    };
    for (const std::array<double, 6>& grid :
         {hamlet_transform, std::array<double, 6>{600000, 0.8, 0.6, 5600150, 0.6, -0.8},
          std::array<double, 6>{600000, 1, 0, 5600000, 0, 1},
          std::array<double, 6>{600300, -1, 0, 5600300, 0, -1}}) {
        CAPTURE(grid[1]);
        CAPTURE(grid[5]);
        Hamlet hamlet;
        make_fuel(
            hamlet.folder() / "fuel.tif",
            {hamlet_cells, hamlet_cells, grid, 32611, [&](std::int64_t row, std::int64_t col) {
                 const double c = static_cast<double>(col) + 0.5;
                 const double r = static_cast<double>(row) + 0.5;
                 return is_conifer(grid[0] + grid[1] * c + grid[2] * r,
                                   grid[3] + grid[4] * c + grid[5] * r)
                            ? int{conifer}
                            : int{grass};
             }});
        const auto conifer_m2_when_falling = [&](double aspect_deg) {
            map_on_ground(hamlet, {250, 250, two_metre_cells, 32611,
                                   plane(100 * std::tan(25 * degree), aspect_deg)});
            return *value(hamlet, "\"conifer_m2_1.5_10m\"", "A-3").number;
        };
        CHECK(conifer_m2_when_falling(180) == Approx(60).epsilon(0.1)); // cells turned: the edge
        CHECK(conifer_m2_when_falling(0) == 0);
        CHECK(conifer_m2_when_falling(90) == 0);
        CHECK(conifer_m2_when_falling(270) == 0);
    }
}
