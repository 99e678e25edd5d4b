// SPDX-License-Identifier: Apache-2.0

// A first raster without training: what is tall and green in winter.
#include "told_woods.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <string>

using namespace fuelring::test;

namespace {

/// Woods with an image without leaves and no training.
struct WinterWoods : Woods {
    WinterWoods()
    {
        make_winter(folder() / "winter.tif");
        config("imagery", "images") =
            "[{ path = 'photo.tif', roles = ['blue', 'green', 'red', 'near_infrared'] }, "
            "{ path = 'winter.tif', roles = ['red', 'near_infrared'], season = 'leaf_off' }, "
            "{ path = 'heights.tif', roles = ['height'] }]";
        config.tables.erase("imagery.training");
    }
};

bool says(const fs::path& file, const std::string& words)
{
    return text_of(file).find(words) != std::string::npos;
}

} // namespace

TEST_CASE("without training, what is tall and green in winter is taken for a conifer")
{
    const WinterWoods woods;
    must_succeed(woods.run());
    constexpr double codes[] = {1, 3, 6, 6}; // of what is tall, by Woods::Kind
    double right = 0, conifers = 0, tall = 0;
    ToldWoods{woods}.for_each([&](const ToldWoods::Cell& cell) {
        CHECK(cell.confidence == 65535); // nobody knows
        CHECK(cell.share == (cell.code == 1 ? 1 : 0));
        CHECK((cell.code == 20) == (cell.height_m < 2));
        if (cell.height_m < 2 || cell.kind == Woods::grass) // whose heights are noise
            return;
        tall += 1;
        right += cell.code == codes[cell.kind] ? 1 : 0;
        conifers += (cell.code == 1) == cell.is_conifer() ? 1 : 0;
    });
    // Means over 3 m blur the outermost row of each square of 40 m: a tenth of its cells.
    CHECK(right / tall > 0.9);
    CHECK(conifers / tall > 0.93);
}

TEST_CASE("every file of a raster made by the rule says that it was made so")
{
    const WinterWoods woods;
    const ProgramResult run = must_succeed(woods.run());
    CHECK(run.said("made by a rule, without training"));
    for (const char* file : {"fuel.tif", "conifer_share.tif", "classified.png"}) {
        CAPTURE(file);
        CHECK(says(woods.out() / file, "By a rule, without training"));
    }
    CHECK(says(woods.out() / "fuel_classes.csv", "by a rule without training"));
    CHECK(says(woods.out() / "accuracy.csv", "by_rule,not measured,"));
    CHECK(!fs::exists(woods.out() / "training_used.gpkg"));
    const auto manifest = nlohmann::json::parse(text_of(woods.out() / "run.json"));
    CHECK(manifest.at("method") == "rule");
    CHECK(manifest.at("note").at(0).get<std::string>().starts_with("By a rule, without training"));
    CHECK(manifest.at("warnings").at(0).at("key") == "by_rule");
    CHECK(!manifest.contains("accuracy"));
}

TEST_CASE("training takes the place of the rule, and leaves when it is taken out")
{
    WinterWoods woods;
    const ConfigFile by_rule = woods.config;
    woods.config("imagery.training", "path") = "'training.gpkg'";
    woods.config("imagery.training", "group") = "'group'";
    must_succeed(woods.run());
    CHECK(fs::exists(woods.out() / "training_used.gpkg"));
    CHECK(!says(woods.out() / "fuel.tif", "By a rule"));
    CHECK(says(woods.out() / "fuel.tif", "Learned from training areas"));
    woods.config = by_rule;
    must_succeed(woods.run());
    CHECK(!fs::exists(woods.out() / "training_used.gpkg"));
    CHECK(says(woods.out() / "fuel.tif", "By a rule"));
}

TEST_CASE("the rule's thresholds are keys, and map takes what it makes")
{
    WinterWoods woods;
    must_succeed(woods.run());
    CHECK(ToldWoods{woods}.sum_of_shares() > 5000);
    woods.config("imagery.rule", "tall_m") = "80";
    must_succeed(woods.run());
    CHECK(ToldWoods{woods}.sum_of_shares() == 0);
    woods.config("imagery.rule", "tall_m") = "2";
    woods.config("imagery.rule", "green") = "0.9";
    must_succeed(woods.run());
    CHECK(ToldWoods{woods}.sum_of_shares() == 0);
    woods.config("imagery.rule", "green") = "0.25";
    must_succeed(woods.run());
    make_layer(woods.folder() / "homes.gpkg", "GPKG", "id", 32611,
               {{"one", rectangle_wkt(600'050, 5'600'240, 600'060, 5'600'250)}});
    woods.config("inputs.structures", "path") = "'homes.gpkg'";
    woods.config("inputs.fuel", "path") = "'fuel/fuel.tif'";
    woods.config("inputs.fuel", "classes") = "'fuel/fuel_classes.csv'";
    woods.config("output", "dir") = "'out'";
    must_succeed(woods.run("map"));
    CHECK(read_csv(woods.folder() / "out" / "addresses.csv").rows.size() == 1);
}
