// SPDX-License-Identifier: Apache-2.0

// Rasters in tiles, by a list or a pattern: against the same raster in one file, and what is said
// of tiles that do not fit together.
#include "end_to_end/share_raster.hpp"
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <gdal_utils.h>
#include <nlohmann/json.hpp>

using namespace fuelring::test;
using fuelring::DatasetPtr;
using nlohmann::json;

namespace {

/// A part of a raster as a file of its own, by gdal_translate.
void cut(const fs::path& from, const fs::path& to, int col, int row, int cols, int rows,
         std::vector<std::string> more = {})
{
    GDALAllRegister();
    std::vector<std::string> words{"-q",
                                   "-srcwin",
                                   std::to_string(col),
                                   std::to_string(row),
                                   std::to_string(cols),
                                   std::to_string(rows)};
    words.insert(words.end(), more.begin(), more.end());
    std::vector<char*> list;
    for (std::string& word : words)
        list.push_back(word.data());
    list.push_back(nullptr);
    GDALTranslateOptions* options = GDALTranslateOptionsNew(list.data(), nullptr);
    const DatasetPtr source{GDALOpen(from.c_str(), GA_ReadOnly)};
    REQUIRE(source);
    const DatasetPtr tile{GDALTranslate(to.c_str(), source.get(), options, nullptr)};
    GDALTranslateOptionsFree(options);
    REQUIRE(tile);
}

/// The hamlet with its raster also in four tiles that overlap by a few cells.
class TiledHamlet : public Hamlet {
public:
    TiledHamlet()
    {
        fs::create_directory(folder() / "tiles");
        cut(one(), tile("a"), 0, 0, 160, 150);
        cut(one(), tile("b"), 150, 0, 150, 155);
        cut(one(), tile("c"), 0, 150, 157, 150);
        cut(one(), tile("d"), 143, 140, 157, 160);
    }
    fs::path one() const { return folder() / "fuel.tif"; }
    fs::path tile(const std::string& name) const { return folder() / "tiles" / (name + ".tif"); }
    void take(const std::string& toml) { config("inputs.fuel", "path") = toml; }
    ProgramResult map_into(const std::string& name, const std::vector<std::string>& more = {}) const
    {
        std::vector<std::string> words{"--out", folder() / name};
        words.insert(words.end(), more.begin(), more.end());
        return Hamlet::run("map", words);
    }
    void check_same(const std::string& a, const std::string& b) const
    {
        for (const char* csv : {"addresses.csv", "neighbourhoods.csv"})
            CHECK((text_of(folder() / a / csv) == text_of(folder() / b / csv)));
        CHECK(read_band(folder() / a / "priority.tif")
                  .same_cells(read_band(folder() / b / "priority.tif")));
        CHECK(read_band(folder() / a / "fuel_used.tif")
                  .same_cells(read_band(folder() / b / "fuel_used.tif")));
    }
};

} // namespace

TEST_CASE("tiles by a pattern or a list give the figures of one file, bit for bit")
{
    TiledHamlet hamlet;
    must_succeed(hamlet.map_into("one"));
    const std::string list = fmt::format("['{}', '{}', '{}', '{}']", hamlet.tile("d").string(),
                                         hamlet.tile("c").string(), hamlet.tile("b").string(),
                                         hamlet.tile("a").string());
    for (const std::string& paths : {std::string{"'tiles/*.tif'"}, list}) {
        CAPTURE(paths);
        hamlet.take(paths);
        must_succeed(hamlet.map_into("tiled", {"--full"}));
        hamlet.check_same("one", "tiled");
    }
    const json fuel = json::parse(text_of(hamlet.folder() / "tiled/run.json"))
                          .at("inputs")
                          .at("inputs.fuel.path");
    REQUIRE(fuel.at("tiles").size() == 4);
    CHECK(fuel.at("tiles")[0].at("path") == hamlet.tile("d").string());
    for (const json& tile : fuel.at("tiles"))
        CHECK(tile.at("sha256").get<std::string>().size() == 64);
    CHECK(fuel.at("sha256").get<std::string>().size() == 64);
    CHECK(fuel.at("description").get<std::string>().starts_with("4 tiles, 300 x 300 cells"));
}

TEST_CASE("where tiles overlap the later one lies on top, and its nodata lets the other show")
{
    TiledHamlet hamlet;
    // An older raster of grass alone under one that has data in its western half only.
    hamlet.config.tables["inputs.fuel"].erase("classes");
    hamlet.config("inputs.fuel", "values") = "'percent'";
    const fs::path below = hamlet.folder() / "below.tif";
    const fs::path above = hamlet.folder() / "above.tif";
    const fs::path both = hamlet.folder() / "both.tif";
    make_shares(below, GDT_Float32, -1, [](auto, auto) { return 20; });
    make_shares(above, GDT_Float32, -1, [](auto, std::int64_t col) { return col < 150 ? 60 : -1; });
    make_shares(both, GDT_Float32, -1, [](auto, std::int64_t col) { return col < 150 ? 60 : 20; });
    hamlet.take(toml_text(both));
    must_succeed(hamlet.map_into("one"));
    hamlet.take(fmt::format("['{}', '{}']", below.string(), above.string()));
    must_succeed(hamlet.map_into("tiled"));
    hamlet.check_same("one", "tiled");
    hamlet.take(fmt::format("['{}', '{}']", above.string(), below.string()));
    must_succeed(hamlet.map_into("turned"));
    CHECK(read_band(hamlet.folder() / "turned/fuel_used.tif").at(150, 140) == 2000);
}

TEST_CASE("ground that no tile covers is unmapped, not 0")
{
    TiledHamlet hamlet;
    hamlet.take(fmt::format("['{}', '{}', '{}']", hamlet.tile("a").string(),
                            hamlet.tile("b").string(), hamlet.tile("d").string()));
    must_succeed(hamlet.map_into("tiled"));
    const Band used = read_band(hamlet.folder() / "tiled/fuel_used.tif");
    CHECK(used.at(160, 100) == 65535);
    CHECK(used.at(100, 90) == 10000);
}

TEST_CASE("a tile that changes is computed anew, the others' results are reused")
{
    TiledHamlet hamlet;
    hamlet.take("'tiles/*.tif'");
    must_succeed(hamlet.map_into("out"));
    CHECK(must_succeed(hamlet.map_into("out")).said("nothing changed"));
    set_cell(hamlet.tile("d"), 40, 20, road);
    const ProgramResult again = must_succeed(hamlet.map_into("out", {"--verbose"}));
    CHECK_FALSE(again.said("nothing changed"));
    CHECK(again.said("inputs.fuel.path"));
    must_succeed(hamlet.map_into("fresh", {"--full"}));
    hamlet.check_same("out", "fresh");
    fs::remove(hamlet.tile("c")); // a tile that goes is a change, too
    CHECK_FALSE(must_succeed(hamlet.map_into("out")).said("nothing changed"));
}

TEST_CASE("heights in tiles give the slopes of one file")
{
    const TempFolder folder;
    ConfigFile config = sample_config(sample_data());
    config.write(folder.path() / "one.toml");
    fs::create_directory(folder.path() / "dem");
    const DatasetPtr dem{GDALOpen((sample_data() / "elevation.tif").c_str(), GA_ReadOnly)};
    const int cols = GDALGetRasterXSize(dem.get());
    const int rows = GDALGetRasterYSize(dem.get());
    const int at = cols / 2 - 3;
    cut(sample_data() / "elevation.tif", folder.path() / "dem/west.tif", 0, 0, cols / 2, rows);
    cut(sample_data() / "elevation.tif", folder.path() / "dem/east.tif", at, 0, cols - at, rows);
    config("inputs.elevation", "path") = "'dem/*.tif'";
    config.write(folder.path() / "tiles.toml");
    for (const char* name : {"one", "tiles"})
        must_succeed(run_fuelring(
            {"map", folder.path() / (std::string{name} + ".toml"), "--out", folder.path() / name}));
    CHECK((text_of(folder.path() / "one/addresses.csv") ==
           text_of(folder.path() / "tiles/addresses.csv")));
}

TEST_CASE("tiles that do not fit together are refused with both names")
{
    struct Case {
        std::string_view why;
        std::vector<std::string> translate;
        std::vector<std::string_view> says;
    };
    const Case cases[] = {
        {"another system",
         {"-a_srs", "EPSG:32612"},
         {"differ in their coordinate system", "zone 12N"}},
        {"other cells", {"-outsize", "75", "75"}, {"differ in their cell size", "2 x 2", "1 x 1"}},
        {"another type", {"-ot", "UInt16"}, {"differ in their cells", "UInt16", "Byte"}},
        {"another nodata", {"-a_nodata", "77"}, {"differ in their cells", "nodata 77"}},
        {"between the cells",
         {"-a_ullr", "600150.4", "5600300", "600300.4", "5600150"},
         {"cells do not lie on those of", "column 150.400"}}};
    for (const Case& c : cases) {
        CAPTURE(c.why);
        TiledHamlet hamlet;
        cut(hamlet.one(), hamlet.tile("b"), 150, 0, 150, 150, c.translate);
        hamlet.take("'tiles/*.tif'");
        const ProgramResult run = hamlet.run("check");
        CAPTURE(run.err);
        CHECK(run.exit_code == 3);
        CHECK(run.said("b.tif"));
        CHECK(run.said("a.tif"));
        for (const std::string_view words : c.says)
            CHECK(run.said(words));
    }
    TiledHamlet hamlet;
    hamlet.take("'tiles/*.img'");
    const ProgramResult run = hamlet.run("check");
    CHECK(run.exit_code == 3);
    CHECK(run.said("no file has a name of the pattern"));
}
