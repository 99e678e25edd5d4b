// SPDX-License-Identifier: Apache-2.0

// What a fuel layer of polygons and its keys can be like, and formats that GDAL lacks.
#include "end_to_end/messages.hpp"

namespace fuelring::test {

namespace {

using Keys = std::map<std::string, std::string>;

/// Polygons in place of the hamlet's raster: a square whose column `fuel` holds the text.
Provocation polygons(const char* message, std::vector<std::string> names, const std::string& text,
                     const Keys& keys = {}, const std::string& wkt = {})
{
    return {message, std::move(names), [=](MappedHamlet& hamlet) {
                const fs::path file = hamlet.folder() / "stands.gpkg";
                fs::remove(file);
                make_layer(
                    file, "GPKG", "fuel", 32611,
                    {{text, wkt.empty() ? rectangle_wkt(600000, 5600000, 600300, 5600300) : wkt}});
                hamlet.config("inputs.fuel", "path") = toml_text(file);
                hamlet.config("inputs.fuel", "column") = "'fuel'";
                hamlet.config("inputs.fuel", "cell_m") = "1";
                for (const auto& [key, value] : keys)
                    hamlet.config("inputs.fuel", key) = value;
            }};
}

} // namespace

std::vector<Provocation> polygon_setting_provocations()
{
    return {
        {"a raster has no …",
         {"inputs.fuel.column", "inputs.fuel.cell_m"},
         [](MappedHamlet& hamlet) { hamlet.config("inputs.fuel", "column") = "'fuel'"; }},
        {"this GDAL (…) cannot write …: it has no driver …",
         {"output.copies", "geoparquet"},
         [](MappedHamlet& hamlet) { hamlet.config("output", "copies") = "['geoparquet']"; }},
        polygons("cells of … m are out of range", {"inputs.fuel.cell_m", "0.1 to 1000"}, "1",
                 {{"cell_m", "0"}}),
        polygons("polygons have no band", {"inputs.fuel.band"}, "1", {{"band", "2"}}),
        polygons("polygons come from one file", {"inputs.fuel.path"}, "1",
                 {{"path", "['stands.gpkg', 'fuel.tif']"}}),
    };
}

std::vector<Provocation> polygon_provocations()
{
    return {
        polygons("the layer has no polygon with a value in column …", {"stands.gpkg", "fuel"}, ""),
        polygons("'…' in column … is no class code", {"stands.gpkg", "feature 1", "'pine'"},
                 "pine"),
        polygons("… cells; … is the most that is read", {"stands.gpkg", "inputs.fuel.cell_m"}, "1",
                 {{"cell_m", "0.1"}}, rectangle_wkt(200000, 1000000, 800000, 9000000)),
        {"'…' in column … is no share of conifers",
         {"stands.gpkg", "feature 1", "'101'", "0 to 100"},
         [](MappedHamlet& hamlet) {
             polygons("", {}, "101", {{"values", "'percent'"}}).act(hamlet);
             hamlet.config.tables["inputs.fuel"].erase("classes");
         }},
    };
}

} // namespace fuelring::test
