// SPDX-License-Identifier: Apache-2.0

// The gate's bounds are exact: areas of rings from closed forms, and where a ring ends.
#include "gate_scenes.hpp"

#include <cmath>
#include <numbers>

using namespace fuelring::test;
using nlohmann::json;

namespace {

/// One house on 100 x 100 cells of 1 m, and a row of conifer cells in its ring of 10 m.
class OneHouse {
    TempFolder folder_;

public:
    OneHouse() : config{hamlet_config(folder_.path())}
    {
        make_layer(folder_.path() / "structures.gpkg", "GPKG", "structure_id", 32611,
                   {{"H", rectangle_wkt(600040, 5600040, 600052, 5600048)}});
        config.tables.erase("inputs.addresses");
        config.tables.erase("gate");
        config("rings", "outer_m") = "[10]";
        config("rings", "weight") = "[1]";
    }
    ConfigFile config;
    fs::path out() const { return folder_.path() / "out"; }

    /// Conifers on the first `cells` of the ring's cells east of the house, row by row.
    void plant(int cells) const
    {
        const fs::path fuel = folder_.path() / "fuel.tif";
        fs::remove(fuel);
        make_fuel(fuel, {100,
                         100,
                         {600000, 1, 0, 5600100, 0, -1},
                         32611,
                         [cells](std::int64_t row, std::int64_t col) {
                             // Eight rows of nine cells beside the wall lie whole in the ring.
                             const std::int64_t at = (row - 52) * 9 + col - 52;
                             const bool beside = row >= 52 && row < 60 && col >= 52 && col < 61;
                             return beside && at < cells ? conifer : grass;
                         }});
    }
    ProgramResult map(const std::vector<std::string>& more = {}) const
    {
        config.write(folder_.path() / "run.toml");
        std::vector<std::string> arguments{"map", folder_.path() / "run.toml"};
        arguments.insert(arguments.end(), more.begin(), more.end());
        return run_fuelring(arguments);
    }
};

} // namespace

TEST_CASE("max_change is a bound to the last digit: cells over the area of the ring")
{
    // A ring of 10 m about 12 x 8 m has 40 x 10 + pi 10^2 m2 (Steiner's formula), all of it mapped;
    // 20 more cells of 1 m2 are 2.80050... points of it.
    const double points = 100 * 20 / (400 + std::numbers::pi * 100);
    OneHouse house;
    house.plant(50);
    REQUIRE(house.map().exit_code == 0);
    house.plant(70);
    house.config("gate", "max_change") = fmt::format("{:.12f}", points - 1e-9);
    CHECK(house.map().exit_code == 6);
    house.config("gate", "max_change") = fmt::format("{:.12f}", points + 1e-9);
    CHECK(house.map().exit_code == 0);
    const json gate = json::parse(text_of(house.out() / "run.json")).at("gate");
    const json& ground = gate.at("moved").at("ground").at(0);
    CHECK(ground.at("conifer_percent").get<double>() -
              ground.at("conifer_percent_before").get<double>() ==
          doctest::Approx(points).epsilon(1e-12));
    house.plant(50); // and down again
    house.config("gate", "max_change") = fmt::format("{:.12f}", points - 1e-9);
    CHECK(house.map().exit_code == 6);
}

TEST_CASE("beyond half a bound the run goes on with a warning, below it without one")
{
    OneHouse house;
    house.plant(50);
    REQUIRE(house.map().exit_code == 0);
    const auto warned = [&](int cells) {
        house.plant(cells);
        const ProgramResult run = house.map();
        REQUIRE(run.exit_code == 0);
        const json gate = json::parse(text_of(house.out() / "run.json")).at("gate");
        CHECK(gate.at("accepted").empty());
        CHECK(run.said("warning: more than half of what the input check lets pass: the conifer "
                       "share of the land within 10 m of the structures: ") ==
              !gate.at("warned").empty());
        return reasons_of(gate.at("warned"));
    };
    CHECK(warned(60).empty());                                         // 1.4 of 5 points
    CHECK(warned(38) == std::vector<std::string>{"conifer_share"});    // 3.1
    CHECK(warned(27) == std::vector<std::string>{"conifers_changed"}); // 1.5, but 29 % of it
}

TEST_CASE("a raster in degrees, too, may grow and shrink where no ring reaches")
{
    // 0.001 degrees of longitude at 50.54 degrees north are 71 m, so that a ring of 100 m ends
    // 0.0014 degrees beside the house.
    const TempFolder folder;
    ConfigFile config = hamlet_config(folder.path());
    config.tables.erase("inputs.addresses");
    config.tables.erase("gate");
    config.write(folder.path() / "run.toml");
    make_layer(folder.path() / "structures.gpkg", "GPKG", "structure_id", 4326,
               {{"H", rectangle_wkt(-115.5802, 50.54, -115.58, 50.5401)}});
    const auto map = [&](double east_deg, int first_col = 0) {
        constexpr double cell_deg = 2e-5;
        const double west_deg = -115.59 + cell_deg * first_col;
        fs::remove(folder.path() / "fuel.tif");
        make_fuel(folder.path() / "fuel.tif", {std::llround((east_deg - west_deg) / cell_deg),
                                               500,
                                               {west_deg, cell_deg, 0, 50.545, 0, -cell_deg},
                                               4326,
                                               [first_col](std::int64_t, std::int64_t col) {
                                                   return (col + first_col) % 9 < 2 ? conifer
                                                                                    : grass;
                                               }});
        return run_fuelring({"map", folder.path() / "run.toml"});
    };
    REQUIRE(map(-115.57).exit_code == 0);
    CHECK(map(-115.578).exit_code == 0); // cut to 142 m from the house
    CHECK(map(-115.565, 100).exit_code == 0);
    const ProgramResult cut = map(-115.579); // to 71 m
    CHECK(cut.exit_code == 6);
    CHECK(cut.said("now, which rings reach"));
}
