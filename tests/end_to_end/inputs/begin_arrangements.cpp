// SPDX-License-Identifier: Apache-2.0
#include "begin_folders.hpp"

namespace fuelring::test {

std::vector<Arrangement> arrangements()
{
    using F = const Folder&;
    const auto table = [](const std::string& end) { return "\"" + end + "\""; };
    std::vector<Arrangement> all{
        {"the sample as it is",
         [](F f) {
             for (const char* name : {"structures.gpkg", "addresses.gpkg", "neighbourhoods.gpkg",
                                      "parcels.gpkg", "fuel.tif", "elevation.tif"})
                 f.copy(name, name);
         },
         {{"inputs.structures.path", table("structures.gpkg")},
          {"inputs.structures.id", table("structure_id")},
          {"inputs.addresses.text", table("text")},
          {"inputs.neighbourhoods.name", table("name")},
          {"inputs.parcels.owner", table("owner")},
          {"inputs.fuel.path", table("fuel.tif")},
          {"inputs.elevation.path", table("elevation.tif")}}},
        {"the sample renamed",
         [](F f) { renamed_sample(f, "GPKG", ".gpkg", 32611); },
         {{"inputs.structures.path", table("Buildings_2024.gpkg")},
          {"inputs.addresses.path", table("civic_points.gpkg")},
          {"inputs.neighbourhoods.path", table("districts.gpkg")},
          {"inputs.parcels.path", table("taxlots.gpkg")},
          {"inputs.fuel.path", table("vegetation.tif")},
          {"inputs.elevation.path", table("dem_1m.tif")}}},
        {"the sample in degrees, as GeoJSON",
         [](F f) { renamed_sample(f, "GeoJSON", ".geojson", 4326); },
         {{"inputs.structures.path", table("Buildings_2024.geojson")},
          {"inputs.parcels.path", table("taxlots.geojson")}}},
        {"the sample as shapefiles in another zone",
         [](F f) { renamed_sample(f, "ESRI Shapefile", ".shp", 32612); },
         {{"inputs.structures.path", table("Buildings_2024.shp")},
          {"inputs.structures.id", table("structure_")},
          {"inputs.neighbourhoods.path", table("districts.shp")}}},
        {"shapefile, address CSV and a national raster",
         [](F f) {
             f.houses("buildings.shp", "id", "ESRI Shapefile");
             f.text("addresses.csv", "address,x,y\nElm 1,600135,5600155\nElm 2,600165,5600155\n");
             f.coarse("nlcd_2021_land_cover.tif", national_code);
         },
         {{"inputs.structures.path", table("buildings.shp")},
          {"inputs.addresses.text", table("address")},
          {"inputs.addresses.x", table("x")},
          {"inputs.addresses.crs", table("EPSG:32611")},
          {"inputs.fuel.date", table("2021")}}},
        {"a class table of the town's own",
         [](F f) {
             f.houses("roofs.gpkg");
             f.fuel("map.tif", 32611,
                    [](auto, std::int64_t col) { return col < 110 ? 901 - 800 : 77; });
             f.text("legend.csv",
                    "code,label,group,conifer_share,source\n101,spruce,conifer,1,town\n"
                    "77,meadow,grass,0,town\n");
         },
         {{"inputs.fuel.classes", table("legend.csv")}}},
        {"percentages",
         [](F f) {
             f.houses("buildings.gpkg");
             f.shares("conifer_cover.tif", GDT_Byte, 100);
         },
         {{"inputs.fuel.values", table("percent")}, {"inputs.fuel.classes", ""}}},
        {"stands drawn as polygons",
         [](F f) {
             f.houses("buildings.gpkg");
             f.strips("forest_stands.geojson", "fuel_code", {"1", "3", "5", "5"});
         },
         {{"inputs.fuel.path", table("forest_stands.geojson")},
          {"inputs.fuel.column", table("fuel_code")},
          {"inputs.fuel.cell_m", "1"},
          {"inputs.structures.path", table("buildings.gpkg")}}},
        {"stands with the share of conifers",
         [](F f) {
             f.houses("buildings.gpkg");
             f.strips("stands.geojson", "conifers", {"90", "35.5", "0", "10"});
         },
         {{"inputs.fuel.column", table("conifers")},
          {"inputs.fuel.values", table("percent")},
          {"inputs.fuel.classes", ""}}},
        {"percentages without a telling name",
         [](F f) {
             f.houses("buildings.gpkg");
             f.shares("layer7.tif", GDT_Byte, 100);
         },
         {{"inputs.fuel.values", table("percent")}}},
        {"fractions",
         [](F f) {
             f.houses("buildings.gpkg");
             f.shares("needleleaf.tif", GDT_Float32, 1);
         },
         {{"inputs.fuel.values", table("fraction")}}},
        {"a mask of conifers",
         [](F f) {
             f.houses("buildings.gpkg");
             f.shares("conifer_mask.tif", GDT_Byte, 1);
         },
         {{"inputs.fuel.values", table("fraction")}}},
        {"a raster in tiles",
         [](F f) {
             f.houses("buildings.gpkg");
             for (int k = 0; k < 3; ++k)
                 make_fuel(f.file(fmt::format("fuel/tile_{}.tif", k)),
                           {100,
                            300,
                            {600000.0 + 100 * k, 1, 0, 5600300, 0, -1},
                            32611,
                            [k](std::int64_t row, std::int64_t col) {
                                return Folder::sample_code(row, col + 100 * k);
                            }});
         },
         {{"inputs.fuel.path", table("fuel/tile_*.tif")}}},
        {"semicolons and decimal commas",
         [](F f) {
             f.houses("buildings.gpkg");
             f.fuel("fuel.tif");
             f.text("adressen.csv", "Adresse;Rechtswert;Hochwert\nElm 1;600135,5;5600155,2\n");
         },
         {{"inputs.addresses.text", table("Adresse")},
          {"inputs.addresses.x", table("Rechtswert")},
          {"inputs.addresses.y", table("Hochwert")}}},
        {"longitudes and latitudes",
         [](F f) {
             f.houses("buildings.gpkg");
             f.fuel("fuel.tif");
             f.text("addresses.csv", "address,lat,lon\nElm 1,50.54475,-115.5867149\n");
         },
         {{"inputs.addresses.x", table("lon")}, {"inputs.addresses.crs", table("EPSG:4326")}}},
        {"street and number in two columns",
         [](F f) {
             f.houses("buildings.gpkg");
             f.fuel("fuel.tif");
             f.text("civic.csv", "number,street,x,y\n1,Elm,600135,5600155\n2,Elm,600165,5600155\n");
         },
         {{"inputs.addresses.text", "[\"number\", \"street\"]"}}},
        {"letters that are not UTF-8",
         [](F f) {
             f.houses("buildings.gpkg");
             f.fuel("fuel.tif");
             f.text("addresses.csv", "address,x,y\nStra\xDF"
                                     "e 1,600135,5600155\n");
         },
         {{"inputs.addresses.encoding", table("WINDOWS-1252")}}},
        {"ids that are none",
         [](F f) {
             f.houses("buildings.gpkg", "kind", "GPKG", 32611, true);
             f.fuel("fuel.tif");
         },
         {{"inputs.structures.path", table("buildings.gpkg")}, {"inputs.structures.id", ""}}},
        {"parcels without owners",
         [](F f) {
             f.houses("buildings.gpkg");
             f.fuel("fuel.tif");
             make_layer(f.file("parcels.gpkg"), "GPKG", "pin", 32611,
                        {{"17", rectangle_wkt(600100, 5600100, 600150, 5600200)}});
         },
         {{"inputs.parcels.path", ""}}},
        {"parcels that overlap are left out after a trial",
         [](F f) {
             f.houses("buildings.gpkg");
             f.fuel("fuel.tif");
             make_layer(f.file("parcels.gpkg"), "GPKG", "owner", 32611,
                        {{"private", rectangle_wkt(600100, 5600100, 600150, 5600200)},
                         {"town", rectangle_wkt(600120, 5600100, 600190, 5600200)}});
         },
         {{"inputs.parcels.path", ""}}},
        {"a raster that does not say its system",
         [](F f) {
             f.houses("buildings.gpkg");
             f.fuel("fuel.tif", 0);
         },
         {{"inputs.fuel.crs", table("EPSG:32611")}}},
        {"a layer that does not say its system",
         [](F f) {
             f.houses("buildings.shp", "id", "ESRI Shapefile", 0);
             f.fuel("fuel.tif");
         },
         {{"inputs.structures.crs", table("EPSG:32611")}}},
        {"files that cannot be read, and others of no use",
         [](F f) {
             f.houses("buildings.gpkg");
             f.fuel("fuel.tif");
             f.text("broken.gpkg", "no database at all");
             f.text("broken.tif", "no raster");
             f.text("notes.txt", "call the mayor");
             f.text("readme.md", "data of 2024");
         },
         {{"inputs.structures.path", table("buildings.gpkg")},
          {"inputs.fuel.path", table("fuel.tif")}}},
        {"folders in the folder",
         [](F f) {
             f.houses("gis/vector/buildings.gpkg");
             f.fuel("gis/raster/fuel.tif");
         },
         {{"inputs.structures.path", table("gis/vector/buildings.gpkg")},
          {"inputs.fuel.path", table("gis/raster/fuel.tif")}}},
        {"an earlier run's outputs are passed over",
         [](F f) {
             f.houses("buildings.gpkg");
             f.fuel("fuel.tif");
             f.text("out/run.json", "{}");
             f.houses("out/structures.gpkg");
             f.fuel("out/fuel_used.tif");
         },
         {{"inputs.structures.path", table("buildings.gpkg")},
          {"inputs.fuel.path", table("fuel.tif")}}},
        {"a canopy height model beside the ground's",
         [](F f) {
             f.copy("structures.gpkg", "structures.gpkg");
             f.copy("fuel.tif", "fuel.tif");
             f.copy("elevation.tif", "chm.tif");
             f.copy("elevation.tif", "dtm.tif");
         },
         {{"inputs.elevation.path", table("dtm.tif")}}},
        {"a few codes that the table lacks",
         [](F f) {
             f.houses("buildings.gpkg");
             f.fuel("fuel.tif", 32611, [](std::int64_t row, std::int64_t col) {
                 return row == 150 && col < 140 ? 99 : Folder::sample_code(row, col);
             });
         },
         {{"inputs.fuel.unknown_codes", table("unmapped")}}},
        {"the boundary of the town",
         [](F f) {
             f.houses("buildings.gpkg");
             f.fuel("fuel.tif");
             make_layer(f.file("town_boundary.gpkg"), "GPKG", "name", 32611,
                        {{"town", rectangle_wkt(600100, 5600100, 600200, 5600200)}});
         },
         {{"community.area.path", table("town_boundary.gpkg")}}},
        {"a land cover of 10 m codes",
         [](F f) {
             f.houses("buildings.gpkg");
             f.coarse("worldcover.tif", [](std::int64_t row, std::int64_t col) {
                 constexpr int codes[] = {10, 20, 30, 40, 50, 80};
                 return codes[(row + col) % 6];
             });
         },
         {{"inputs.fuel.values", ""}}},
        {"findings of visits",
         [](F f) {
             f.houses("buildings.gpkg");
             f.fuel("fuel.tif");
             f.text("visits.csv", "kind,structure_id,group,date,initials,wkt\n"
                                  "gone,A-1,,2026-05-31,AB,\n");
         },
         {{"inputs.corrections.path", table("visits.csv")}}}};
    return all;
}

} // namespace fuelring::test
