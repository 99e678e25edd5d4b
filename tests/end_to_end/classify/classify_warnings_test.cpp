// SPDX-License-Identifier: Apache-2.0

// Where a classification warns: training that is thin or far away, and imagery that is not what was
// trained on.
#include "told_woods.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cstdlib>
#include <map>
#include <string>
#include <vector>

using namespace fuelring::test;

namespace {

/// Texts by key, after a classification.
std::map<std::string, std::string> warnings_of(const Woods& woods)
{
    const ProgramResult run = must_succeed(woods.run());
    std::map<std::string, std::string> warnings;
    const auto record = nlohmann::json::parse(text_of(woods.out() / "run.json"));
    for (const auto& warning : record.at("warnings")) {
        const auto text = warning.at("text").get<std::string>();
        CHECK(run.said(text)); // on the screen, too
        warnings[warning.at("key")] = text;
    }
    return warnings;
}

/// Training in the middle of the squares west and north of a cell.
void train_within(const Woods& woods, int rows, int cols)
{
    constexpr const char* words[] = {"conifer", "broadleaved", "grass", "built"};
    std::vector<Shape> areas;
    for (int row = Woods::square / 2; row < rows; row += Woods::square)
        for (int col = Woods::square / 2; col < cols; col += Woods::square) {
            const double x = 600'000 + col, y = 5'600'300 - row;
            areas.push_back(
                {words[Woods::kind_at(row, col)], rectangle_wkt(x - 4, y - 4, x + 4, y + 4)});
        }
    fs::remove(woods.folder() / "training.gpkg");
    make_layer(woods.folder() / "training.gpkg", "GPKG", "group", 32611, areas);
}

void set_dates(Woods& woods, const std::string& photo, const std::string& heights)
{
    woods.config("imagery", "images") = fmt::format(
        "[{{ path = 'photo.tif', roles = ['blue', 'green', 'red', 'near_infrared'], date = {} }}, "
        "{{ path = 'heights.tif', roles = ['height'], date = {} }}]",
        photo, heights);
}

} // namespace

TEST_CASE("a group with few training areas, and training in one corner, are warned of")
{
    const Woods woods;
    auto warnings = warnings_of(woods);
    CHECK(warnings.at("few_training_areas").find("training areas of") != std::string::npos);
    CHECK(!warnings.contains("training_in_one_corner"));
    CHECK(!warnings.contains("places_unlike_training"));
    train_within(woods, 120, 80);
    warnings = warnings_of(woods);
    CHECK(warnings.at("training_in_one_corner").find("a small part") != std::string::npos);
}

TEST_CASE("a tile of another camera is warned of where training lies in the others")
{
    Woods woods;
    // Blocks meet at 154 m: training and the first tile are west of it.
    constexpr int middle = 154;
    woods.config("imagery", "cell_m") = "0.3";
    woods.make_photo(woods.folder() / "tile_a.tif", 0, middle);
    woods.make_photo(woods.folder() / "tile_b.tif", middle, Woods::cells - middle);
    woods.config("imagery", "images") =
        "[{ path = 'tile_*.tif', roles = ['blue', 'green', 'red', 'near_infrared'] }, "
        "{ path = 'heights.tif', roles = ['height'] }]";
    train_within(woods, Woods::cells, middle);
    CHECK(!warnings_of(woods).contains("places_unlike_training"));
    // The same bands in another order: what was blue is near infrared.
    REQUIRE(std::system(fmt::format("gdal_translate -q -b 4 -b 3 -b 2 -b 1 {0}/tile_b.tif "
                                    "{0}/turned.tif && mv {0}/turned.tif {0}/tile_b.tif",
                                    woods.folder().string())
                            .c_str()) == 0);
    CHECK(warnings_of(woods).at("places_unlike_training").find("another camera or day") !=
          std::string::npos);
}

TEST_CASE("images and visits of years apart are warned of")
{
    Woods woods;
    set_dates(woods, "2026-07-15", "2025-09-01");
    CHECK(!warnings_of(woods).contains("images_years_apart"));
    set_dates(woods, "2026-07-15", "2019-09-01");
    CHECK(warnings_of(woods).at("images_years_apart").find("2019-09-01 to 2026-07-15") !=
          std::string::npos);
    set_dates(woods, "'summer'", "2019-09-01"); // a date in words tells no years
    CHECK(!warnings_of(woods).contains("images_years_apart"));
    set_dates(woods, "2026-07-15", "2026-07-15");
    write_text(woods.folder() / "visits.csv",
               "kind,date,initials,wkt\n"
               "conifer,2020-05-31,AB,\"" +
                   rectangle_wkt(600'004, 5'600'270, 600'008, 5'600'276) +
                   "\"\n"
                   "conifer,2026-05-31,AB,\"" +
                   rectangle_wkt(600'024, 5'600'270, 600'028, 5'600'276) + "\"\n");
    woods.config("inputs.corrections", "path") = "'visits.csv'";
    woods.config("inputs.corrections", "crs") = "'EPSG:32611'";
    CHECK(warnings_of(woods).at("visits_years_apart").starts_with("1 visited place was seen"));
}
