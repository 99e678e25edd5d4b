// SPDX-License-Identifier: Apache-2.0

// A first configuration from whatever a town has: 30 arrangements of files, what is guessed of
// each, and that check accepts the result as it stands.
#include "begin_folders.hpp"
#include "end_to_end/messages.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>

using namespace fuelring::test;

namespace {

/// By structure, of a run's addresses.csv; those that are known.
std::map<std::string, double> exposures_of(const fs::path& run)
{
    const Csv table = read_csv(run / "addresses.csv");
    std::map<std::string, double> exposures;
    for (std::size_t row = 0; row < table.rows.size(); ++row)
        if (const std::string& cell = table.cell(row, "exposure"); !cell.empty())
            exposures[table.cell(row, "structure_id")] = std::stod(cell);
    return exposures;
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
    must_succeed(run_fuelring({"check", folder.at / "fuelring.toml"}));
    must_succeed(run_fuelring({"map", folder.at / "fuelring.toml"}));
    must_succeed(run_fuelring({"report", folder.at / "out"}));
    CHECK(read_csv(folder.at / "out/addresses.csv").rows.size() == 4);
    CHECK(fs::exists(folder.at / "out/report.html"));
}

TEST_CASE("the sample under other names and in other systems gives the sample's figures, unedited")
{
    const TempFolder temp;
    sample_config(sample_data()).write(temp.path() / "sample.toml");
    must_succeed(
        run_fuelring({"map", temp.path() / "sample.toml", "--out", temp.path() / "sample"}));
    const auto known = exposures_of(temp.path() / "sample");
    REQUIRE(known.size() > 200);
    struct Form {
        const char *driver, *end;
        int epsg;
    };
    for (const Form& form : {Form{"ESRI Shapefile", ".shp", 32612}, Form{"GPKG", ".gpkg", 4326}}) {
        CAPTURE(form.driver);
        const Folder folder{temp.path() / form.driver};
        fs::create_directory(folder.at);
        renamed_sample(folder, form.driver, form.end, form.epsg);
        const fs::path toml = folder.at / "fuelring.toml";
        must_succeed(run_fuelring({"begin", folder.at}));
        must_succeed(run_fuelring({"check", toml}));
        must_succeed(run_fuelring({"map", toml}));
        must_succeed(run_fuelring({"report", folder.at / "out"}));
        CHECK(fs::exists(folder.at / "out/report.html"));
        const auto found = exposures_of(folder.at / "out");
        // There and back again is good to a micrometre, a ring of a house to its 10 m of wall.
        double worst = 0;
        for (const auto& one : known) {
            CAPTURE(one.first);
            REQUIRE(found.contains(one.first));
            worst = std::max(worst, std::abs(found.at(one.first) - one.second));
        }
        CHECK(worst < 1e-4);
    }
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
