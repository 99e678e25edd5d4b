// SPDX-License-Identifier: Apache-2.0

// Exit code 3: input data.
#include "refusal.hpp"

#include <fmt/format.h>

using namespace fuelring::test;

TEST_CASE("a fuel raster that is absent or none is named with its key")
{
    MappedHamlet hamlet;
    hamlet.config("inputs.fuel", "path") = "'no such raster.tif'";
    hamlet.refuses(3, {"no such raster.tif", "inputs.fuel.path"});
    write_text(hamlet.folder() / "text.tif", "not a raster");
    hamlet.config("inputs.fuel", "path") = "'text.tif'";
    hamlet.refuses(3, {"text.tif", "inputs.fuel.path"});
}

TEST_CASE("codes that the class table lacks are listed with their cells, or count as unmapped")
{
    MappedHamlet hamlet;
    const fs::path fuel = hamlet.folder() / "other.tif";
    make_fuel(fuel, {hamlet_cells, hamlet_cells, hamlet_transform, 32611,
                     [](std::int64_t row, std::int64_t col) {
                         return row == 145 && col < 120 ? (col < 117 ? 77 : 200) : int{grass};
                     }});
    hamlet.config("inputs.fuel", "path") = toml_text(fuel);
    hamlet.refuses(3, {"other.tif", "77 (117 cells)", "200 (3 cells)", "tamarack_bend.csv",
                       "unknown_codes = \"unmapped\""});
    hamlet.config("inputs.fuel", "unknown_codes") = "'unmapped'";
    const ProgramResult run = hamlet.run("map");
    CHECK(run.exit_code == 0);
    CHECK(run.said("warning: 2 codes are not in the fuel-class table and count as unmapped"));
}

TEST_CASE("structures that all lie off the raster are an error that shows both places")
{
    MappedHamlet hamlet;
    const fs::path far = hamlet.folder() / "far.gpkg";
    make_layer(far, "GPKG", "structure_id", 32611,
               {{"F-1", rectangle_wkt(700000, 5600150, 700010, 5600160)},
                {"F-2", rectangle_wkt(700050, 5600150, 700060, 5600160)}});
    hamlet.config("inputs.structures", "path") = toml_text(far);
    hamlet.refuses(3, {"far.gpkg", "all 2 structures lie off the fuel raster", "700005", "600000",
                       "inputs.structures.crs"});
}

TEST_CASE("ids that repeat or are missing are listed with the way out")
{
    MappedHamlet hamlet;
    const fs::path twice = hamlet.folder() / "twice.gpkg";
    const std::string square = rectangle_wkt(600130, 5600150, 600140, 5600160);
    make_layer(twice, "GPKG", "structure_id", 32611, {{"A", square}, {"B", square}, {"A", square}});
    hamlet.config("inputs.structures", "path") = toml_text(twice);
    hamlet.refuses(3, {"twice.gpkg", "structure_id", "'A' in features 1 and 3", "feature ids"});
    hamlet.config.tables["inputs.structures"].erase("id"); // what the message says
    CHECK(hamlet.run("map").exit_code == 0);
}

TEST_CASE("a raster or layer without a CRS is refused until the configuration gives one")
{
    MappedHamlet hamlet;
    const fs::path fuel = hamlet.folder() / "nowhere.tif";
    make_fuel(fuel, {hamlet_cells, hamlet_cells, hamlet_transform, 0,
                     [](std::int64_t, std::int64_t) { return int{grass}; }});
    hamlet.config("inputs.fuel", "path") = toml_text(fuel);
    hamlet.refuses(3, {"nowhere.tif", "inputs.fuel.crs"});
    hamlet.config("inputs.fuel", "crs") = "'EPSG:32611'";
    CHECK(hamlet.run("map").exit_code == 0);

    const fs::path houses = hamlet.folder() / "nowhere.shp";
    make_layer(houses, "ESRI Shapefile", "id", 0,
               {{"A", rectangle_wkt(600130, 5600150, 600140, 5600160)}});
    hamlet.config("inputs.structures", "path") = toml_text(houses);
    hamlet.config("inputs.structures", "id") = "'id'";
    hamlet.refuses(3, {"nowhere.shp", "inputs.structures.crs"});
    hamlet.config("inputs.structures", "crs") = "'EPSG:32611'";
    CHECK(hamlet.run("map").exit_code == 0);
}

TEST_CASE("a layer or column that is not there is named")
{
    MappedHamlet hamlet;
    hamlet.config("inputs.structures", "layer") = "'huts'";
    hamlet.refuses(3, {"structures.gpkg", "huts"});
    hamlet.config.tables["inputs.structures"].erase("layer");
    hamlet.config("inputs.structures", "id") = "'number'";
    hamlet.refuses(3, {"structures.gpkg", "number"});
    hamlet.config("inputs.structures", "id") = "'structure_id'";
    hamlet.config("inputs.addresses", "text") = "'street'";
    hamlet.refuses(3, {"addresses.gpkg", "street"});
}

TEST_CASE("structures beside a raster in degrees are told where both are")
{
    MappedHamlet hamlet;
    const fs::path fuel = hamlet.folder() / "degrees.tif";
    make_fuel(
        fuel,
        {100, 100, {-115.6, 0.0001, 0, 50.55, 0, -0.0001}, 4326, [](std::int64_t, std::int64_t) {
             return int{grass};
         }});
    hamlet.config("inputs.fuel", "path") = toml_text(fuel);
    hamlet.refuses(3, {"structures.gpkg", "lie off the fuel raster", "x -115.6000 to -115.5900"});
}
