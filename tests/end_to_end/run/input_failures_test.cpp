// SPDX-License-Identifier: Apache-2.0

// Exit code 3: input data.
#include "end_to_end/refusal.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>

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
                         if (row == 145 && col < 120)
                             return col < 117 ? 77 : 200;
                         return int{row % 2 == 0 ? grass : conifer};
                     }});
    hamlet.config("inputs.fuel", "path") = toml_text(fuel);
    // 120 of the 300 x 300 cells, all of which lie in squares around the houses.
    hamlet.refuses(3, {"other.tif", "77 (117 cells, 0.1%), 200 (3 cells, 0.0%)",
                       "together 0.1% of the land", "tamarack_bend.csv",
                       "unknown_codes = \"unmapped\""});
    hamlet.config("inputs.fuel", "unknown_codes") = "'unmapped'";
    const ProgramResult run = hamlet.run("map");
    CHECK(run.exit_code == 0);
    CHECK(run.said("2 codes are not in the fuel-class table and count as unmapped, 0.1% of the "
                   "land"));
}

TEST_CASE("codes count as unmapped only where they take little")
{
    MappedHamlet hamlet;
    const fs::path fuel = hamlet.folder() / "other.tif";
    hamlet.config("inputs.fuel", "path") = toml_text(fuel);
    const auto refused = [&](int rows_of_77, const std::vector<std::string>& words) {
        make_fuel(fuel, {hamlet_cells, hamlet_cells, hamlet_transform, 32611,
                         [=](std::int64_t row, std::int64_t) {
                             return row < rows_of_77 ? 77 : int{grass};
                         }});
        const ProgramResult run = hamlet.run("check");
        INFO(run.err);
        for (const std::string& word : words)
            CHECK(run.said(word));
        return run.exit_code != 0;
    };
    hamlet.config("inputs.fuel", "unknown_codes") = "'error'";
    // The squares around the houses are all but a corner of 44 x 44 cells: 88,064 of 90,000.
    CHECK(refused(120, {"77 (36000 cells, 40.9%)", "unknown_codes = \"unmapped\""}));
    CHECK(refused(180, {"61.3% of the land", "belong together"}));
    CHECK_FALSE(hamlet.run("check").said("unknown_codes")); // it is not offered
    hamlet.config("inputs.fuel", "unknown_codes") = "'unmapped'";
    CHECK_FALSE(refused(
        120, {"warning: 1 code is not in the fuel-class table and counts", "40.9% of the land"}));
    CHECK(refused(180, {"61.3% of the land", "too much for inputs.fuel.unknown_codes"}));
}

TEST_CASE("all that is wrong with the inputs is told in one run")
{
    MappedHamlet hamlet;
    write_text(hamlet.folder() / "text.tif", "not a raster");
    write_text(hamlet.folder() / "text.csv", "not a table\n1\n");
    hamlet.config("inputs.fuel", "path") = "'text.tif'";
    hamlet.config("inputs.fuel", "classes") = "'text.csv'";
    hamlet.config("inputs.structures", "id") = "'number'";
    hamlet.config("inputs.addresses", "text") = "'street'";
    hamlet.config("inputs.neighbourhoods", "path") = "'absent_n.gpkg'";
    hamlet.config("inputs.neighbourhoods", "name") = "'name'";
    hamlet.config("inputs.parcels", "path") = "'absent_p.gpkg'";
    hamlet.config("inputs.parcels", "owner") = "'owner'";
    hamlet.config("inputs.elevation", "path") = "'absent_e.tif'";
    hamlet.config("inputs.corrections", "path") = "'absent_c.csv'";
    const std::vector<std::string> wrong{"text.tif",     "text.csv",      "'number'",
                                         "'street'",     "absent_n.gpkg", "absent_p.gpkg",
                                         "absent_e.tif", "absent_c.csv"};
    const auto before = bytes_below(hamlet.out());
    for (const char* command : {"check", "map"}) {
        const ProgramResult run = hamlet.run(command);
        INFO(run.err);
        CHECK(run.exit_code == 3);
        const std::vector<std::string> errors = run.errors();
        CHECK(errors.size() == wrong.size()); // each once
        for (const std::string& words : wrong) {
            CAPTURE(words);
            CHECK(std::count_if(errors.begin(), errors.end(), [&](const std::string& line) {
                      return line.find(words) != line.npos;
                  }) == 1);
        }
    }
    CHECK((bytes_below(hamlet.out()) == before));
}

TEST_CASE("what is wrong with layers whose raster and structures are right is told in one run")
{
    MappedHamlet hamlet;
    make_layer(hamlet.folder() / "far.gpkg", "GPKG", "text", 32611,
               {{"Elm 1", "POINT (700135 5600155)"}});
    hamlet.config("inputs.addresses", "path") = "'far.gpkg'";
    hamlet.config("inputs.neighbourhoods", "path") = "'structures.gpkg'";
    hamlet.config("inputs.neighbourhoods", "name") = "'quarter'";
    set_cell(hamlet.folder() / "fuel.tif", 145, 130, Code{77});
    const ProgramResult run = hamlet.run("check");
    INFO(run.err);
    CHECK(run.exit_code == 3);
    CHECK(run.errors().size() == 3);
    CHECK(run.said("none of 1 addresses lies within 1000 m of a structure"));
    CHECK(run.said("no column 'quarter'"));
    CHECK(run.said("77 (1 cells"));
}

TEST_CASE("all that is wrong in a configuration is told in one run")
{
    MappedHamlet hamlet;
    hamlet.config("inputs.fuel", "bandd") = "1";
    hamlet.config("inputs.fuel", "colour") = "1";
    hamlet.config("inputs.addresses", "join_within_m") = "'far'";
    hamlet.config("rings", "outer_m") = "[10, 5]";
    hamlet.config("gate", "max_change") = "500";
    const ProgramResult run = hamlet.run("map");
    INFO(run.err);
    CHECK(run.exit_code == 2);
    CHECK(run.errors().size() == 5);
    for (const char* words : {"inputs.fuel.bandd", "inputs.fuel.colour",
                              "inputs.addresses.join_within_m", "rings.outer_m", "gate.max_change"})
        CHECK(run.said(words));
}

TEST_CASE("a structure far off changes no estimate of time and memory, and is named")
{
    // Web Mercator: at 85 degrees north a metre of ground is eleven of the map, and rings of as
    // many cells as eleven times wider ones would be.
    Hamlet hamlet;
    const fs::path fuel = hamlet.folder() / "web.tif";
    make_fuel(fuel, {hamlet_cells,
                     hamlet_cells,
                     {0, 1, 0, 6000300, 0, -1},
                     3857,
                     [](std::int64_t, std::int64_t) { return int{grass}; }});
    hamlet.config("inputs.fuel", "path") = toml_text(fuel);
    hamlet.config.tables.erase("inputs.addresses");
    std::vector<nlohmann::json> estimates;
    for (const bool stray : {false, true}) {
        const fs::path file = hamlet.folder() / (stray ? "stray.gpkg" : "homes.gpkg");
        std::vector<Shape> homes{{"A", rectangle_wkt(130, 6000150, 150, 6000170)},
                                 {"B", rectangle_wkt(160, 6000150, 180, 6000170)}};
        if (stray)
            homes.push_back({"far", rectangle_wkt(0, 19900000, 100, 19900100)});
        make_layer(file, "GPKG", "structure_id", 3857, homes);
        hamlet.config("inputs.structures", "path") = toml_text(file);
        const ProgramResult run = must_succeed(hamlet.run("check", {"--json"}));
        CHECK(run.said("1 structure is far from all others") == stray);
        CHECK(run.said("far (x ") == stray);
        estimates.push_back(nlohmann::json::parse(run.out).at("estimate"));
    }
    CHECK(estimates[0].at("seconds") == estimates[1].at("seconds"));
    // What is known of one structure of five vertices: 920 bytes (memory.cpp), below 0.001 MiB.
    CHECK(estimates[1].at("memory_mib").get<double>() -
              estimates[0].at("memory_mib").get<double>() <
          0.01);
}

TEST_CASE(
    "addresses that all lie elsewhere are an error that says where, swapped ones that they are")
{
    MappedHamlet hamlet;
    const fs::path file = hamlet.folder() / "elsewhere.csv";
    hamlet.config.tables["inputs.addresses"].clear();
    hamlet.config("inputs.addresses", "path") = toml_text(file);
    hamlet.config("inputs.addresses", "text") = "'text'";
    struct Case {
        std::string_view why;
        std::string crs, x, y;
        std::vector<std::string> words;
    };
    const Case cases[] = {
        {"another town",
         "EPSG:32611",
         "650135",
         "5650155",
         {"none of 1 addresses lies within 1000 m of a structure", "x 650135 to 650135",
          "km north-east of the structures", "inputs.addresses.crs", "EPSG:32611"}},
        {"another zone",
         "EPSG:32612",
         "600135",
         "5600155",
         {"none of 1", "km east of the structures", "EPSG:32612"}},
        {"swapped metres", "EPSG:32611", "5600155", "600135", {"x and y are swapped"}},
        // 600135 E, 5600155 N in zone 11 is 115.5867 W, 50.5447 N (PROJ).
        {"swapped degrees", "EPSG:4326", "50.5447", "-115.5867", {"x and y are swapped"}}};
    for (const Case& c : cases) {
        CAPTURE(c.why);
        write_text(file, "text,x,y\nElm 1," + c.x + "," + c.y + "\n");
        hamlet.config("inputs.addresses", "crs") = toml_text(c.crs);
        hamlet.refuses(3, c.words);
    }
    // At the road, 45 m from the next wall: near, so no error, but said aloud.
    write_text(file, "text,x,y\nElm 1,600135,5600205\n");
    hamlet.config("inputs.addresses", "crs") = "'EPSG:32611'";
    hamlet.config("inputs.addresses", "join_within_m") = "1";
    const ProgramResult run = hamlet.run("map");
    INFO(run.err);
    CHECK(run.exit_code == 0);
    CHECK(run.said("warning: no address joins a structure: none of 1 is within 1 m of a wall"));
}

TEST_CASE("structures that all lie off the raster are an error that shows both places")
{
    MappedHamlet hamlet;
    const fs::path far = hamlet.folder() / "far.gpkg";
    make_layer(far, "GPKG", "structure_id", 32611,
               {{"F-1", rectangle_wkt(700000, 5600150, 700010, 5600160)},
                {"F-2", rectangle_wkt(700050, 5600150, 700060, 5600160)}});
    hamlet.config("inputs.structures", "path") = toml_text(far);
    hamlet.refuses(3, {"far.gpkg", "all 2 structures are outside the fuel raster", "700005",
                       "600000", "inputs.structures.crs"});
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
    hamlet.refuses(3,
                   {"structures.gpkg", "are outside the fuel raster", "x -115.6000 to -115.5900"});
}
