// SPDX-License-Identifier: Apache-2.0

// From an invented photograph to a fuel raster, and on to a map.
#include "end_to_end/refusal.hpp"
#include "told_woods.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <cstdlib>

using namespace fuelring::test;

namespace {

/// Everything but run.json, whose times differ.
std::map<std::string, std::string> files_of(const fs::path& out)
{
    auto files = bytes_below(out);
    files.erase("run.json");
    return files;
}

void check_refused_by(const Woods& woods, int exit_code, const std::vector<std::string>& words)
{
    check_refused(woods.run(), exit_code, words);
    CHECK(!fs::exists(woods.out()));
}

} // namespace

TEST_CASE("classify tells conifers of a photograph, and leaves unknown what it does not show")
{
    const Woods woods;
    must_succeed(woods.run());
    const ToldWoods told{woods};
    REQUIRE(told.share.cols == Woods::known_cols + 20);
    CHECK(told.share.transform == read_band(woods.folder() / "photo.tif").transform);
    double right = 0, known = 0, truth = 0;
    told.for_each([&](const ToldWoods::Cell& cell) {
        CHECK(cell.confidence <= 100);
        known += 1;
        right += (cell.code == 1) == cell.is_conifer() ? 1 : 0;
        truth += cell.is_conifer() ? 1 : 0;
    });
    CHECK(right / known > 0.95);
    CHECK(std::abs(told.sum_of_shares() - truth) / known < 0.03);
}

TEST_CASE("accuracy.csv says how well held-out land was told")
{
    const Woods woods;
    must_succeed(woods.run());
    const auto figure = [&](const char* kind, const char* what) {
        return accuracy_figure(woods.out(), kind, what);
    };
    CHECK(figure("conifer_balanced_accuracy", "cells") > 0.9);
    CHECK(figure("conifer_area_under_curve", "areas") > 0.95);
    CHECK(figure("folds", "held out by block") >= 5);
    CHECK(std::abs(figure("mean_share", "calibrated") - figure("mean_share", "true")) < 0.02);
    // 36 areas of 8 x 8 cells, but for the six behind the edge of the photograph.
    CHECK(sql_number(woods.out() / "training_used.gpkg",
                     "SELECT count(*) FROM training_used WHERE cells = 64") >= 24);
    const auto run = nlohmann::json::parse(text_of(woods.out() / "run.json"));
    CHECK(run.at("note").size() >= 4);
    CHECK(run.at("inputs").contains("imagery.images[1].path"));
    CHECK(run.at("training").at("areas_of_group").at("conifer") >= 6);
}

TEST_CASE("neither workers nor tiles change a byte of a classification")
{
    Woods woods;
    must_succeed(woods.run("classify", {"--jobs", "1"}));
    const auto one = files_of(woods.out());
    CHECK(one.size() == 8);
    for (const char* jobs : {"2", "7"}) {
        must_succeed(woods.run("classify", {"--jobs", jobs}));
        CHECK((files_of(woods.out()) == one));
    }
    woods.make_photo(woods.folder() / "tile_a.tif", 0, 97);
    woods.make_photo(woods.folder() / "tile_b.tif", 97, Woods::cells - 97);
    woods.config("imagery", "images") =
        "[{ path = 'tile_*.tif', roles = ['blue', 'green', 'red', 'near_infrared'] }, "
        "{ path = 'heights.tif', roles = ['height'] }]";
    must_succeed(woods.run());
    CHECK((files_of(woods.out()) == one));
}

TEST_CASE("map takes the classes that classify made, around the structures alone if so wanted")
{
    Woods woods;
    make_layer(woods.folder() / "homes.gpkg", "GPKG", "id", 32611,
               {{"one", rectangle_wkt(600'050, 5'600'240, 600'060, 5'600'250)}});
    woods.config("inputs.structures", "path") = "'homes.gpkg'";
    woods.config("inputs.structures", "id") = "'id'";
    woods.config("imagery", "extent") = "'structures'";
    woods.config("rings", "outer_m") = "[1.5, 10, 30]";
    woods.config("rings", "weight") = "[0.4, 0.4, 0.2]";
    must_succeed(woods.run());
    const Band share = read_band(woods.out() / "conifer_share.tif");
    // 30 m to each side of a house of 10 m, in whole cells.
    CHECK(share.cols == 70);
    CHECK(share.rows == 70);
    woods.config("inputs.fuel", "path") = "'fuel/fuel.tif'";
    woods.config("inputs.fuel", "classes") = "'fuel/fuel_classes.csv'";
    woods.config("output", "dir") = "'out'";
    must_succeed(woods.run("map"));
    CHECK(read_csv(woods.folder() / "out" / "addresses.csv").rows.size() == 1);
}

TEST_CASE("where only trees were trained, what is lower than 2 m has no conifers")
{
    const Woods woods;
    woods.make_training({Woods::conifer, Woods::broadleaved});
    must_succeed(woods.run());
    ToldWoods{woods}.for_each([](const ToldWoods::Cell& cell) {
        CHECK((cell.code == 20) == (cell.height_m < 2));
        if (cell.height_m < 2)
            CHECK(cell.share == 0);
    });
}

TEST_CASE("what an image's bands are has to be said, band by band")
{
    Woods woods;
    const auto with_roles = [&](const std::string& roles) {
        woods.config("imagery", "images") = "[{ path = 'photo.tif'" + roles + " }]";
    };
    with_roles("");
    check_refused_by(woods, 2, {"imagery.images.roles", "blue, green, red"});
    with_roles(", roles = ['blue', 'green', 'purple', 'red']");
    check_refused_by(woods, 2, {"'purple' is not a role", "near_infrared"});
    with_roles(", roles = ['blue', 'green', 'red']");
    check_refused_by(woods, 3, {"photo.tif", "the image has 4 bands, but", "gives 3 roles"});
}

TEST_CASE("training that cannot teach is refused with what is missing")
{
    Woods woods;
    woods.make_training({Woods::conifer});
    check_refused_by(woods, 3,
                     {"training.gpkg", "all training areas that the images show are conifer"});
    woods.make_training({Woods::conifer, Woods::grass}, 5000);
    check_refused_by(woods, 3, {"training.gpkg", "none of the", "imagery.training.crs"});
    fs::remove(woods.folder() / "training.gpkg");
    make_layer(woods.folder() / "training.gpkg", "GPKG", "group", 32611,
               {{"pine", rectangle_wkt(600'010, 5'600'200, 600'020, 5'600'210)}});
    check_refused_by(woods, 3,
                     {"training.gpkg", "feature 1", "'pine' is not a group", "conifer, mixed"});
    woods.config.tables.erase("imagery.training");
    check_refused_by(woods, 2, {"no table [imagery.training]"});
}

TEST_CASE("images that do not belong together are refused")
{
    Woods woods;
    woods.make_photo(woods.folder() / "photo.tif", 0, Woods::cells, 32612); // the next zone
    check_refused_by(woods, 3, {"the images show no place in common"});
    woods.config("imagery", "extent") = "'structures'";
    woods.make_photo(woods.folder() / "photo.tif");
    check_refused_by(woods, 2, {"imagery.extent", "[inputs.structures]", "extent = \"images\""});
}
