// SPDX-License-Identifier: Apache-2.0

// A first configuration from whatever a town has: 30 arrangements of files, what is guessed of
// each, and that check accepts the result as it stands.
#include "messages.hpp"
#include "share_raster.hpp"
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <gdal_utils.h>
#include <nlohmann/json.hpp>

#include <functional>
#include <map>
#include <sstream>

using namespace fuelring::test;
using fuelring::DatasetPtr;

namespace {

/// "inputs.fuel.path" and the like with what stands behind it; comments are passed over.
std::map<std::string, std::string> keys_of(const fs::path& toml)
{
    std::map<std::string, std::string> keys;
    std::istringstream text{text_of(toml)};
    std::string table;
    for (std::string line; std::getline(text, line);)
        if (line.starts_with("["))
            table = line.substr(1, line.size() - 2) + ".";
        else if (const std::size_t at = line.find(" = "); at != line.npos && !line.starts_with("#"))
            keys[table + line.substr(0, at)] = line.substr(at + 3);
    return keys;
}

/// A folder of data, made piece by piece.
struct Folder {
    fs::path at;

    fs::path file(const std::string& name) const
    {
        fs::create_directories((at / name).parent_path());
        return at / name;
    }
    /// A layer of the sample under another name, in another format and system.
    void sample(const std::string& of, const std::string& name, const char* driver = "GPKG",
                int epsg = 32611) const
    {
        const fs::path copy = at / ("copy_of_" + of);
        fs::copy_file(sample_data() / of, copy);
        reproject_layer(copy, file(name), driver, epsg);
        fs::remove(copy);
    }
    void copy(const std::string& of, const std::string& name) const
    {
        fs::copy_file(sample_data() / of, file(name));
    }
    void text(const std::string& name, const std::string& text) const
    {
        write_text(file(name), text);
    }
    /// The hamlet's houses, each with a text.
    void houses(const std::string& name, const char* column = "structure_id",
                const char* driver = "GPKG", int epsg = 32611, bool same_text = false) const
    {
        std::vector<Shape> shapes;
        for (const House& h : hamlet_houses)
            shapes.push_back({same_text ? "house" : h.id, rectangle_wkt(h.x0, h.y0, h.x1, h.y1)});
        make_layer(file(name), driver, column, epsg, shapes);
    }
    void fuel(const std::string& name, int epsg = 32611,
              const std::function<int(std::int64_t, std::int64_t)>& code_at = sample_code) const
    {
        make_fuel(file(name), {hamlet_cells, hamlet_cells, hamlet_transform, epsg, code_at});
    }
    /// Codes of the sample's table.
    static int sample_code(std::int64_t row, std::int64_t col)
    {
        return col < 110 ? conifer : row < 60 ? road : row < 90 ? mixed : grass;
    }
    /// A raster of 30 m cells around the hamlet.
    void coarse(const std::string& name,
                const std::function<int(std::int64_t, std::int64_t)>& code_at) const
    {
        make_fuel(file(name), {30, 30, {599700, 30, 0, 5600600, 0, -30}, 32611, code_at});
    }
    /// Four strips of polygons over the hamlet, each with a value.
    void strips(const std::string& name, const std::string& column,
                const std::vector<std::string>& values) const
    {
        std::vector<Shape> shapes;
        for (std::size_t k = 0; k < values.size(); ++k)
            shapes.push_back(
                {values[k], rectangle_wkt(600000 + 75. * static_cast<double>(k), 5600000,
                                          600075 + 75. * static_cast<double>(k), 5600300)});
        make_layer(file(name), "GeoJSON", column, 32611, shapes);
    }
    void shares(const std::string& name, GDALDataType type, double whole) const
    {
        make_shares(file(name), type, {}, [=](std::int64_t row, std::int64_t col) {
            return whole == 1 && type == GDT_Byte
                       ? static_cast<double>(col < 110)
                       : whole * static_cast<double>((row + col) % 101) / 100;
        });
    }
};

int national_code(std::int64_t row, std::int64_t col)
{
    constexpr int codes[] = {42, 41, 43, 71, 21, 22, 11, 42};
    return codes[(row * 3 + col) % 8];
}

struct Arrangement {
    std::string_view why;
    std::function<void(const Folder&)> make;
    std::vector<std::pair<std::string, std::string>> guesses; ///< key and value; empty: not there
};

/// The sample's layers and rasters, renamed and in one system.
void renamed_sample(const Folder& f, const char* driver, const std::string& end, int epsg)
{
    f.sample("structures.gpkg", "Buildings_2024" + end, driver, epsg);
    f.sample("addresses.gpkg", "civic_points" + end, driver, epsg);
    f.sample("neighbourhoods.gpkg", "districts" + end, driver, epsg);
    f.sample("parcels.gpkg", "taxlots" + end, driver, epsg);
    f.copy("fuel.tif", "vegetation.tif");
    f.copy("elevation.tif", "dem_1m.tif");
}

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

} // namespace

TEST_CASE("begin writes a configuration that check accepts, from 30 arrangements of files")
{
    const std::vector<Arrangement> all = arrangements();
    REQUIRE(all.size() == 30);
    for (const Arrangement& a : all) {
        CAPTURE(a.why);
        const TempFolder temp;
        const Folder folder{temp.path() / "tamarack_town"};
        fs::create_directory(folder.at);
        a.make(folder);
        const ProgramResult begun = run_fuelring({"begin", folder.at});
        CAPTURE(begun.err);
        CHECK(begun.exit_code == 0);
        const fs::path toml = folder.at / "fuelring.toml";
        REQUIRE(fs::exists(toml));
        const std::string text = text_of(toml);
        CAPTURE(text);
        const auto keys = keys_of(toml);
        for (const auto& wanted : a.guesses) {
            CAPTURE(wanted.first);
            const auto at = keys.find(wanted.first);
            CHECK((at == keys.end() ? std::string{} : at->second) == wanted.second);
        }
        CHECK(keys.at("community.name") == "\"Tamarack Town\"");
        const ProgramResult check = run_fuelring({"check", toml});
        CAPTURE(check.err);
        CHECK(check.exit_code == 0);
        for (const auto& entry : fs::directory_iterator{folder.at}) // the trial left nothing
            CHECK_FALSE(entry.path().filename().string().starts_with("."));
    }
}

TEST_CASE("from a folder to a table and a page without a word of editing")
{
    const TempFolder temp;
    const Folder folder{temp.path()};
    folder.houses("buildings.shp", "id", "ESRI Shapefile");
    folder.text("addresses.csv", "address;x;y\nElm 1;600135,5;5600155\n");
    folder.coarse("nlcd_2021.tif", national_code);
    const ProgramResult begun = must_succeed(run_fuelring({"begin", folder.at}));
    CHECK(begun.said(
        "buildings.shp: 4 polygons (half of them below 110 m2), columns id, WGS 84 / UTM "
        "zone 11N (EPSG:32611) -> [inputs.structures]"));
    CHECK(begun.said("nlcd_2021.tif: 1 band of 30 m cells, WGS 84 / UTM zone 11N (EPSG:32611), 7 "
                     "codes (11, 21, 22, 41, 42, 43, 71): fits nlcd.csv -> [inputs.fuel]"));
    CHECK(begun.said("not there, and not needed: neighbourhoods, parcels, heights of the ground"));
    const std::string text = text_of(folder.at / "fuelring.toml");
    CHECK(text.find("Cells of 30 m are wider than the ring out to 1.5 m") != text.npos);
    CHECK(text.find("nlcd.csv has all of its 7 codes") != text.npos);
    must_succeed(run_fuelring({"map", folder.at / "fuelring.toml"}));
    must_succeed(run_fuelring({"report", folder.at / "out"}));
    CHECK(read_csv(folder.at / "out/addresses.csv").rows.size() == 4);
    CHECK(fs::exists(folder.at / "out/report.html"));
}

TEST_CASE("a folder that lacks what a run needs gets a configuration to fill in, and code 3")
{
    const TempFolder temp;
    const Folder folder{temp.path()};
    folder.houses("buildings.gpkg");
    const ProgramResult run = run_fuelring({"begin", folder.at});
    CHECK(run.exit_code == 3);
    CHECK(run.said("a raster of vegetation or fuel classes"));
    CHECK_FALSE(run.said("building footprints;"));
    const std::string text = text_of(folder.at / "fuelring.toml");
    CHECK(text.find("#[inputs.fuel]") != text.npos);
    CHECK(text.find("path = \"buildings.gpkg\"") != text.npos);
}

TEST_CASE("every message of begin in the manual can be met")
{
    const TempFolder temp;
    const fs::path none = temp.path() / "none";
    const fs::path many = temp.path() / "many";
    const fs::path empty = temp.path() / "empty";
    const fs::path begun = temp.path() / "begun";
    for (const fs::path& folder : {many, empty, begun})
        fs::create_directory(folder);
    for (int k = 0; k <= 5000; ++k)
        write_text(many / fmt::format("{}.txt", k), "");
    write_text(begun / "fuelring.toml", "");
    std::string said;
    for (const auto& [folder, code] : {std::pair{none, 3}, {many, 3}, {empty, 3}, {begun, 2}}) {
        const ProgramResult run = run_fuelring({"begin", folder});
        CHECK(run.exit_code == code);
        said += run.err;
    }
    const std::vector<MessageRow> rows = messages_of_manual("## Messages of begin");
    CHECK(rows.size() == 4);
    for (const MessageRow& row : rows) {
        CAPTURE(row.message);
        for (const std::string& words : row.words())
            CHECK(said.find(words) != said.npos);
    }
}

TEST_CASE("begin replaces no file, writes where it is told, and says in JSON what it found")
{
    const TempFolder temp;
    const Folder folder{temp.path() / "data"};
    fs::create_directory(folder.at);
    folder.houses("buildings.gpkg");
    folder.fuel("fuel.tif");
    const fs::path toml = temp.path() / "town.toml";
    const ProgramResult run =
        must_succeed(run_fuelring({"begin", folder.at, "--out", toml, "--json", "--quiet"}));
    CHECK(run.err == "");
    const auto said = nlohmann::json::parse(run.out);
    CHECK(said.at("out") == toml.string());
    CHECK(said.at("files").size() == 2);
    CHECK(keys_of(toml).at("inputs.fuel.path") == "\"data/fuel.tif\"");
    must_succeed(run_fuelring({"check", toml}));
    const std::string before = text_of(toml);
    const ProgramResult again = run_fuelring({"begin", folder.at, "--out", toml});
    CHECK(again.exit_code == 2);
    CHECK(again.said("the configuration is there already"));
    CHECK((text_of(toml) == before));
}
