// SPDX-License-Identifier: Apache-2.0

// Filters, the community's area, and tables of addresses as offices keep them.
#include "end_to_end/refusal.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <set>

using namespace fuelring::test;
using nlohmann::json;

namespace {

std::set<std::string> column_of(const fs::path& out, const char* column)
{
    const Csv csv = read_csv(out / "addresses.csv");
    std::set<std::string> values;
    for (std::size_t row = 0; row < csv.rows.size(); ++row)
        values.insert(csv.cell(row, column));
    return values;
}

/// The hamlet with a table of addresses in place of its layer.
class TableHamlet : public Hamlet {
public:
    explicit TableHamlet(const std::string& text)
    {
        write_text(folder() / "addresses.csv", text);
        config.tables["inputs.addresses"].clear();
        config("inputs.addresses", "path") = toml_text(folder() / "addresses.csv");
        config("inputs.addresses", "text") = "'street'";
        config("inputs.addresses", "crs") = "'EPSG:32611'";
    }
};

} // namespace

TEST_CASE("tables of addresses are read in every form that offices write")
{
    struct Case {
        std::string_view why, text;
        std::vector<std::pair<const char*, const char*>> keys;
        std::string_view address;
    };
    const Case cases[] = {
        {"commas", "street,x,y\nElm 1,600135,5600155\n", {}, "Elm 1"},
        {"semicolons and decimal commas", "street;x;y\nElm 1;600135,5;5600155,25\n", {}, "Elm 1"},
        {"tabs", "street\tx\ty\nElm 1\t600135.5\t5600155\n", {}, "Elm 1"},
        {"blanks between thousands", "street;x;y\nElm 1;600 135,5;5 600 155\n", {}, "Elm 1"},
        {"apostrophes between thousands", "street;x;y\nElm 1;600'135.5;5'600'155\n", {}, "Elm 1"},
        {"commas between thousands", "street;x;y\nElm 1;600,135.5;5,600,155.0\n", {}, "Elm 1"},
        {"columns named by keys",
         "street;rechts;hoch\nElm 1;600135,5;5600155\n",
         {{"x", "'rechts'"}, {"y", "'hoch'"}},
         "Elm 1"},
        {"longitudes",
         "street,lat,lon\nElm 1,50.54475,-115.5867149\n",
         {{"crs", "'EPSG:4326'"}},
         "Elm 1"},
        {"text of several columns",
         "no;street;unit;x;y\n1;Elm;;600135;5600155\n",
         {{"text", "['street', 'no', 'unit']"}},
         "Elm 1"},
        {"quotes around all",
         "\"street\";\"x\";\"y\"\n\"Elm; 1\";\"600135\";\"5600155\"\n",
         {},
         "Elm; 1"},
        {"letters of another encoding",
         "street;x;y\nStra\xDF"
         "e 1;600135;5600155\n",
         {{"encoding", "'WINDOWS-1252'"}},
         "Straße 1"},
        {"a mark in front", "\xEF\xBB\xBFstreet,x,y\nElm 1,600135,5600155\n", {}, "Elm 1"}};
    for (const Case& c : cases) {
        CAPTURE(c.why);
        TableHamlet hamlet{std::string{c.text}};
        for (const auto& [key, value] : c.keys)
            hamlet.config("inputs.addresses", key) = value;
        must_succeed(hamlet.run("map"));
        const Csv csv = read_csv(hamlet.out() / "addresses.csv");
        bool found = false;
        for (std::size_t row = 0; row < csv.rows.size(); ++row)
            if (csv.cell(row, "structure_id") == "A-2") {
                found = true;
                CHECK(csv.cell(row, "address") == c.address);
            }
        CHECK(found);
    }
}

TEST_CASE("a row without coordinates is left out and counted, one that is no number is refused")
{
    TableHamlet hamlet{"street;x;y\nElm 1;600135;5600155\nElm 2;;\n"};
    CHECK(must_succeed(hamlet.run("map")).said("1 address without a point"));
    TableHamlet wrong{"street;x;y\nElm 1;600135;5600155\nElm 2;6001,35,1;5600155\n"};
    const ProgramResult run = wrong.run("check");
    CHECK(run.exit_code == 3);
    CHECK(run.said("1 coordinates are not numbers: '6001,35,1' in feature 2, column x"));
}

TEST_CASE("structures outside the community's area are left out with their addresses, and counted")
{
    MappedHamlet hamlet;
    make_layer(hamlet.folder() / "town.gpkg", "GPKG", "name", 32611,
               {{"town", rectangle_wkt(600120, 5600100, 600175, 5600200)}});
    // The same land in degrees, a little less at its edges.
    const std::string box = "{ box = [-115.586941, 50.5442581, -115.586138, 50.5451477] }";
    for (const std::string& area :
         {fmt::format("{{ path = '{}' }}", (hamlet.folder() / "town.gpkg").string()), box}) {
        CAPTURE(area);
        hamlet.config("community", "area") = area;
        const ProgramResult run = must_succeed(hamlet.run("map", {"--full"}));
        CHECK(column_of(hamlet.out(), "structure_id") == std::set<std::string>{"A-2", "A-3"});
        CHECK(run.said("3 structures outside the area"));
        const json manifest = json::parse(text_of(hamlet.out() / "run.json"));
        CHECK(manifest.at("configuration").at("filters").contains("community.area"));
    }
    hamlet.config("community", "area") = "{ box = [10, 50, 11, 51] }";
    const ProgramResult none = hamlet.run("check");
    CHECK(none.exit_code == 3);
    CHECK(none.said("outside the community's area"));
}

TEST_CASE("every layer can be filtered, and run.json says by what")
{
    MappedHamlet hamlet;
    make_layer(hamlet.folder() / "areas.gpkg", "GPKG", "name", 32611,
               {{"North", rectangle_wkt(600000, 5600100, 600300, 5600300)},
                {"Whole", rectangle_wkt(600000, 5600000, 600300, 5600300)}});
    hamlet.config("inputs.neighbourhoods", "path") = toml_text(hamlet.folder() / "areas.gpkg");
    hamlet.config("inputs.neighbourhoods", "name") = "'name'";
    hamlet.config("inputs.neighbourhoods", "where") = "\"name <> 'Whole'\"";
    hamlet.config("inputs.addresses", "where") = "\"text like '%1'\"";
    must_succeed(hamlet.run("map"));
    const Csv csv = read_csv(hamlet.out() / "neighbourhoods.csv");
    for (std::size_t row = 0; row < csv.rows.size(); ++row)
        CHECK(csv.cell(row, "neighbourhood") != "Whole");
    const json filters =
        json::parse(text_of(hamlet.out() / "run.json")).at("configuration").at("filters");
    CHECK(filters.at("inputs.neighbourhoods").at("where") == "name <> 'Whole'");
    CHECK(filters.at("inputs.addresses").at("where") == "text like '%1'");
    hamlet.config("inputs.neighbourhoods", "where") = "\"nme = 'a'\"";
    CHECK(hamlet.run("check").said("inputs.neighbourhoods"));
}

TEST_CASE("neighbourhoods without a name, or of blanks, are one called (unnamed), with a warning")
{
    MappedHamlet hamlet;
    make_layer(hamlet.folder() / "areas.gpkg", "GPKG", "name", 32611,
               {{"", rectangle_wkt(600000, 5600000, 600150, 5600300)},
                {"  ", rectangle_wkt(600150, 5600000, 600300, 5600300)}});
    hamlet.config("inputs.neighbourhoods", "path") = toml_text(hamlet.folder() / "areas.gpkg");
    hamlet.config("inputs.neighbourhoods", "name") = "'name'";
    CHECK(must_succeed(hamlet.run("map")).said("2 neighbourhoods have no name"));
    CHECK(column_of(hamlet.out(), "neighbourhood").contains("(unnamed)"));
}
