// SPDX-License-Identifier: Apache-2.0

// What a classification says of land: where light is missing, and how many hectares of conifers
// stand near structures.
#include "told_woods.hpp"

#include <nlohmann/json.hpp>

#include <numbers>
#include <vector>

using namespace fuelring::test;

namespace {

nlohmann::json record_of(const Woods& woods)
{
    return nlohmann::json::parse(text_of(woods.out() / "run.json"));
}

bool note_says(const nlohmann::json& record, const std::string& words)
{
    for (const auto& line : record.at("note"))
        if (line.get<std::string>().find(words) != std::string::npos)
            return true;
    return false;
}

/// Houses of 10 x 10 m, by the cell of their upper left corner.
void add_homes(Woods& woods, const std::vector<std::pair<int, int>>& corners)
{
    std::vector<Shape> homes;
    for (const auto& [row, col] : corners) {
        const double x = 600'000 + col, y = 5'600'300 - row;
        homes.push_back({"H" + std::to_string(homes.size()), rectangle_wkt(x, y - 10, x + 10, y)});
    }
    fs::remove(woods.folder() / "homes.gpkg");
    make_layer(woods.folder() / "homes.gpkg", "GPKG", "id", 32611, homes);
    woods.config("inputs.structures", "path") = "'homes.gpkg'";
    woods.config("inputs.structures", "id") = "'id'";
    woods.config("rings", "outer_m") = "[1.5, 10, 30]";
    woods.config("rings", "weight") = "[0.4, 0.4, 0.2]";
}

/// Square metres around a house of 10 x 10 m, but for the house.
/// Source: Steiner's formula, P r + pi r^2.
double around_a_house_m2(double r_m)
{
    return 40 * r_m + std::numbers::pi * r_m * r_m;
}

} // namespace

TEST_CASE("cells where light is missing are flagged beside the confidence, and counted")
{
    const Woods woods;
    woods.make_shaded_photo(woods.folder() / "photo.tif");
    must_succeed(woods.run());
    constexpr double side = Woods::shade_side;
    double flagged = 0, elsewhere = 0;
    ToldWoods{woods}.for_each([&](const ToldWoods::Cell& cell) {
        const bool dark = cell.confidence >= 200;
        CHECK(cell.confidence <= 300);
        (Woods::in_shade(cell.row, cell.col) ? flagged : elsewhere) += dark ? 1 : 0;
    });
    CHECK(flagged / (side * side) > 0.98);
    CHECK(elsewhere == 0);
    const auto record = record_of(woods);
    CHECK(record.at("land").at("shadow_ha") == doctest::Approx(flagged / 10'000));
    CHECK(accuracy_figure(woods.out(), "shadow", "land") ==
          doctest::Approx(flagged / (Woods::cells * Woods::known_cols)).epsilon(1e-4));
    CHECK(note_says(record, "is dark in visible light and near infrared"));
}

TEST_CASE("a photograph without near infrared tells no shadow, and the note says so")
{
    Woods woods;
    woods.make_shaded_photo(woods.folder() / "photo.tif");
    woods.config("imagery", "images") = "[{ path = 'photo.tif', roles = ['blue', 'green', 'red', "
                                        "'other'] }, { path = 'heights.tif', roles = ['height'] }]";
    must_succeed(woods.run());
    ToldWoods{woods}.for_each([](const ToldWoods::Cell& cell) { CHECK(cell.confidence <= 100); });
    const auto record = record_of(woods);
    CHECK(record.at("land").at("shadow_ha").is_null());
    CHECK(note_says(record, "Shadows were not looked for"));
}

TEST_CASE("conifers near structures are counted once, with an interval")
{
    Woods woods;
    // Two that share land, in broadleaved trees and conifers, and one in shade.
    const std::vector<std::pair<int, int>> corners{{15, 30}, {15, 45}, {95, 10}};
    add_homes(woods, corners);
    woods.make_shaded_photo(woods.folder() / "photo.tif");
    must_succeed(woods.run());
    double conifers = 0, land = 0, dark = 0, written = 0;
    ToldWoods{woods}.for_each([&](const ToldWoods::Cell& cell) {
        double nearest = 1e9;
        for (const auto& [row, col] : corners)
            nearest = std::min(
                nearest,
                std::hypot(std::max({row - (cell.row + 0.5), 0.0, cell.row + 0.5 - row - 10}),
                           std::max({col - (cell.col + 0.5), 0.0, cell.col + 0.5 - col - 10})));
        if (nearest > 0 && nearest <= 10) {
            land += 1;
            conifers += cell.is_conifer() ? 1 : 0;
            dark += cell.confidence >= 200 ? 1 : 0;
            written += cell.share;
        }
    });
    const auto near = record_of(woods).at("near_structures");
    CHECK(near.at("within_m") == 10);
    CHECK(near.at("known_ha") == doctest::Approx(land / 10'000));
    // The third house stands alone.
    CHECK(land < 3 * around_a_house_m2(10));
    CHECK(land > 2.4 * around_a_house_m2(10));
    CHECK(near.at("conifer_ha") == doctest::Approx(written / 10'000));
    CHECK(near.at("shadow_ha") == doctest::Approx(dark / 10'000));
    CHECK(near.at("unknown_ha") == 0);
    CHECK(dark > 0);
    const auto figure = [&](const char* what) {
        return accuracy_figure(woods.out(), "conifer_ha_near", what);
    };
    CHECK(figure("estimate") ==
          doctest::Approx(near.at("estimate_ha").get<double>()).epsilon(1e-3));
    CHECK(figure("low_95") <= figure("estimate"));
    CHECK(figure("estimate") <= figure("high_95"));
    // Training lies in the middle of stands, so that edges may be told a little worse.
    CHECK(figure("estimate") == doctest::Approx(conifers / 10'000).epsilon(0.02));
    CHECK(figure("high_95") - figure("low_95") < 0.1 * land / 10'000);
    CHECK(note_says(record_of(woods), "Within 10 m of structures conifers cover"));
}

TEST_CASE("with fewer than ten blocks the conifers near structures have no interval")
{
    Woods woods;
    add_homes(woods, {{15, 30}});
    std::vector<Shape> areas;
    for (const int row : {20, 60, 100, 140})
        for (const int col : {20, 60}) {
            const double x = 600'000 + col, y = 5'600'300 - row;
            areas.push_back({Woods::kind_at(row, col) == Woods::conifer ? "conifer" : "grass",
                             rectangle_wkt(x - 4, y - 4, x + 4, y + 4)});
        }
    fs::remove(woods.folder() / "training.gpkg");
    make_layer(woods.folder() / "training.gpkg", "GPKG", "group", 32611, areas);
    must_succeed(woods.run());
    REQUIRE(accuracy_figure(woods.out(), "folds", "held out by block") < 10);
    CHECK(std::isnan(accuracy_figure(woods.out(), "conifer_ha_near", "low_95")));
    CHECK(std::isnan(accuracy_figure(woods.out(), "conifer_ha_near", "high_95")));
    CHECK(record_of(woods).at("near_structures").at("high_95_ha").is_null());
    CHECK(note_says(record_of(woods), "nobody can say how sure that is"));
}

TEST_CASE("a home that moved renews its blocks alone, to the bytes of a run from the beginning")
{
    Woods woods;
    woods.config("imagery", "cell_m") = "0.3"; // four blocks
    add_homes(woods, {{15, 30}, {200, 190}});
    must_succeed(woods.run());
    add_homes(woods, {{15, 30}, {200, 180}});
    must_succeed(woods.run());
    const auto record = record_of(woods);
    CHECK(record.at("reuse").at("model") == "reused");
    CHECK(record.at("reuse").at("blocks").at("reused") > 0);
    CHECK(record.at("reuse").at("blocks").at("computed") > 0);
    must_succeed(woods.run("classify", {"--full"}));
    CHECK(record_of(woods).at("near_structures") == record.at("near_structures"));
}
