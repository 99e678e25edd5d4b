// SPDX-License-Identifier: Apache-2.0

// Corrections of the fuel raster and of the footprints by visits: against a raster and a layer that
// were edited by hand, over a change of imagery, and what is said of rows that do nothing.
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <set>

using namespace fuelring::test;
using nlohmann::json;

namespace {

constexpr const char* heading = "kind,structure_id,group,date,initials,wkt\n";

/// A rectangle of cells by columns and rows of the hamlet's raster, shrunk by `in_m` at each side.
std::string cells_wkt(double col, double row, double cols, double rows, double in_m = 0)
{
    const double x = 600000 + col;
    const double y = 5600300 - row;
    return '"' + rectangle_wkt(x + in_m, y - rows + in_m, x + cols - in_m, y - in_m) + '"';
}

std::string row_for(const std::string& kind, const std::string& wkt, const std::string& group = "",
                    const std::string& date = "2026-05-31")
{
    return fmt::format("{},,{},{},AB,{}\n", kind, group, date, wkt);
}

class CheckedHamlet : public Hamlet {
public:
    fs::path file() const { return folder() / "visits.csv"; }
    void visits(const std::string& rows)
    {
        write_text(file(), heading + rows);
        config("inputs.corrections", "path") = toml_text(file());
        config("inputs.corrections", "crs") = toml_text("EPSG:32611");
    }
    ProgramResult map(const std::vector<std::string>& more = {}) const
    {
        ProgramResult run = Hamlet::run("map", more);
        INFO(run.err);
        REQUIRE(run.exit_code == 0);
        return run;
    }
    json manifest() const { return json::parse(text_of(out() / "run.json")); }
    /// addresses.csv without the word that tells of a visit.
    std::string addresses() const
    {
        std::string text = text_of(out() / "addresses.csv");
        for (const std::string word : {";field_checked", "field_checked"})
            for (std::size_t at = 0; (at = text.find(word, at)) != text.npos;)
                text.erase(at, word.size());
        return text;
    }
};

void set_cells(const Hamlet& hamlet, std::int64_t col, std::int64_t row, std::int64_t cols,
               std::int64_t rows, Code code)
{
    for (std::int64_t r = row; r < row + rows; ++r)
        for (std::int64_t c = col; c < col + cols; ++c)
            set_cell(hamlet.folder() / "fuel.tif", r, c, code);
}

void check_same_cells(const Hamlet& a, const Hamlet& b)
{
    CHECK(read_band(a.out() / "priority.tif").same_cells(read_band(b.out() / "priority.tif")));
    for (const int band : {1, 2})
        CHECK(read_band(a.out() / "fuel_used.tif", band)
                  .same_cells(read_band(b.out() / "fuel_used.tif", band)));
}

} // namespace

TEST_CASE("a raster corrected by visits gives the bytes of one that was edited by hand")
{
    CheckedHamlet visited;
    // Conifers 10 m west of A-1 are lawn; a lawn beside A-4 is conifers, all but a cell of it that
    // nobody could see; a cell in the gap of the imagery is water, though it has no class.
    visited.visits(row_for("not_conifer", cells_wkt(90, 148, 10, 12)) +
                   row_for("conifer", cells_wkt(193, 140, 6, 9)) +
                   row_for("unmapped", "POINT (600195.5 5600155.5)", "", "2026-06-01") +
                   row_for("not_conifer", cells_wkt(285, 145, 1, 1), "water"));
    const ProgramResult run = visited.map({"--verbose"});
    CHECK(run.said("field checks: 2 not_conifer, 1 conifer, 1 unmapped; 175 cells corrected"));

    CheckedHamlet edited;
    set_cells(edited, 90, 148, 10, 12, grass);
    set_cells(edited, 193, 140, 6, 9, conifer);
    set_cell(edited.folder() / "fuel.tif", 144, 195, no_data);
    set_cell(edited.folder() / "fuel.tif", 145, 285, water);
    edited.map();
    CHECK(visited.addresses() == edited.addresses());
    check_same_cells(visited, edited);
    const json corrections = visited.manifest().at("corrections");
    CHECK(corrections.at("cells_changed") == 175); // 120 + 54 + 1, and that of the point is in 54
    CHECK(corrections.at("idle_rows") == 0);
    CHECK(corrections.at("sha256") ==
          visited.manifest().at("inputs").at("inputs.corrections.path").at("sha256"));
    CHECK_FALSE(edited.manifest().contains("corrections"));

    CheckedHamlet untouched; // the control: without corrections it is another table
    untouched.map();
    CHECK(untouched.addresses() != edited.addresses());
}

TEST_CASE("a cell is corrected where its centre lies in the polygon")
{
    CheckedHamlet hamlet;
    // Inside by half a cell less a little, and beyond the centres by as much.
    hamlet.visits(row_for("conifer", cells_wkt(200, 140, 4, 4, 0.49)));
    hamlet.map();
    CHECK(hamlet.manifest().at("corrections").at("cells_changed") == 16);
    hamlet.visits(row_for("conifer", cells_wkt(200, 140, 4, 4, 0.51)));
    hamlet.map();
    CHECK(hamlet.manifest().at("corrections").at("cells_changed") == 4);
    // Two that share an edge through centres share no cell and leave none out.
    const auto half = [](double x0, double x1) {
        return '"' + rectangle_wkt(x0, 5600150, x1, 5600160) + '"';
    };
    hamlet.visits(row_for("conifer", half(600200, 600204.5)) +
                  row_for("conifer", half(600204.5, 600210)));
    hamlet.map();
    CHECK(hamlet.manifest().at("corrections").at("cells_changed") == 100);
    // A triangle with a hole: cells by their centres, counted by hand on the diagonal.
    hamlet.visits(row_for("conifer", "\"POLYGON ((600200 5600150, 600210 5600150, 600200 5600160, "
                                     "600200 5600150), (600201 5600151, 600203 5600151, 600203 "
                                     "5600153, 600201 5600153, 600201 5600151))\""));
    hamlet.map();
    // Rows of 9, 8, ..., 0 centres strictly below the diagonal, and 10 on it that count or do not
    // as one; less 4 in the hole.
    const auto cells = hamlet.manifest().at("corrections").at("cells_changed").get<int>();
    CHECK((cells == 45 - 4 || cells == 55 - 4));
}

TEST_CASE("a visit outlives new imagery, and a row that says what the imagery says is told")
{
    CheckedHamlet hamlet;
    hamlet.visits(row_for("conifer", cells_wkt(195, 145, 1, 1)));
    hamlet.map();
    const Csv seen = read_csv(hamlet.out() / "addresses.csv");
    for (std::size_t k = 0; k < seen.rows.size(); ++k)
        CHECK((seen.cell(k, "flags").find("field_checked") != std::string::npos) ==
              (seen.cell(k, "structure_id") != "A-5")); // which stands 700 m away
    CHECK(hamlet.map().said("nothing changed"));

    set_cell(hamlet.folder() / "fuel.tif", 60, 250, mixed); // new imagery, the old mistake in it
    hamlet.map();
    CHECK(read_band(hamlet.out() / "fuel_used.tif", 1).at(145, 195) == 10000);
    CHECK(hamlet.manifest().at("corrections").at("cells_changed") == 1);

    set_cell(hamlet.folder() / "fuel.tif", 145, 195, conifer); // now it is right
    const ProgramResult run = hamlet.map();
    CHECK(run.said("1 row of inputs.corrections changes nothing any more: feature 1 (conifer: the "
                   "raster says so already)"));
    const json corrections = hamlet.manifest().at("corrections");
    CHECK(corrections.at("cells_changed") == 0);
    CHECK(corrections.at("idle_rows") == 1);
    CHECK(corrections.at("idle").at(0).at("initials") == "AB");
    CHECK(corrections.at("idle").at(0).at("date") == "2026-05-31");
    CHECK(text_of(hamlet.out() / "addresses.csv").find("field_checked") == std::string::npos);
}

TEST_CASE("a structure that is gone leaves the run with its addresses, as if it were in no file")
{
    CheckedHamlet visited;
    visited.visits("gone,A-3,,2026-05-31,AB,\ngone,Z-9,,2026-05-31,CD,\n");
    visited.config.tables["inputs.corrections"].erase("crs"); // no shapes: none is needed
    const ProgramResult run = visited.map({"--verbose"});
    CHECK(run.said("field checks: 2 gone; 0 cells corrected, 1 structure and 1 address left "
                   "out"));
    CHECK(run.said("feature 2 (gone: there is no such structure)"));

    CheckedHamlet edited;
    fs::remove(edited.folder() / "structures.gpkg");
    std::vector<Shape> shapes{{"A-5", rectangle_wkt(600900, 5600150, 600910, 5600160)}};
    for (const House& h : hamlet_houses)
        if (std::string{h.id} != "A-3")
            shapes.push_back({h.id, rectangle_wkt(h.x0, h.y0, h.x1, h.y1)});
    make_layer(edited.folder() / "structures.gpkg", "GPKG", "structure_id", 32611, shapes);
    fs::remove(edited.folder() / "addresses.gpkg");
    make_layer(edited.folder() / "addresses.gpkg", "GPKG", "text", 32611,
               {{"Larch Way 2, flat B", "POINT (600110 5600145)"},
                {"Larch Way 2, flat A", "POINT (600111 5600145)"},
                {"=HYPERLINK(\"x\")", "POINT (600135 5600155)"},
                {"Far Road 1", "POINT (600020 5600020)"}});
    edited.map();
    CHECK(text_of(visited.out() / "addresses.csv") == text_of(edited.out() / "addresses.csv"));
    CHECK(dump_of(visited.out() / "fuelring.gpkg") == dump_of(edited.out() / "fuelring.gpkg"));
    check_same_cells(visited, edited);
}

TEST_CASE("of several rows about a cell the last day holds; rows may speak of a footprint")
{
    CheckedHamlet hamlet;
    const std::string cell = cells_wkt(195, 145, 1, 1);
    hamlet.visits(row_for("conifer", cell, "", "2026-07-01") +
                  row_for("not_conifer", cell, "bare", "2026-06-01"));
    hamlet.map();
    CHECK(read_band(hamlet.out() / "fuel_used.tif", 1).at(145, 195) == 10000);
    hamlet.visits(row_for("conifer", cell, "", "2026-07-01") +
                  row_for("not_conifer", cell, "bare", "2026-08-01"));
    hamlet.map();
    CHECK(read_band(hamlet.out() / "fuel_used.tif", 1).at(145, 195) == 0);
    CHECK(read_band(hamlet.out() / "fuel_used.tif", 2).at(145, 195) == 8); // bare

    // Conifers over the roof of A-3, an error of the imagery, by the structure's id.
    set_cells(hamlet, 160, 140, 11, 10, conifer);
    write_text(hamlet.file(), std::string{heading} + "not_conifer,A-3,built,2026-08-01,AB,\n");
    hamlet.map();
    CHECK(hamlet.manifest().at("corrections").at("cells_changed") == 110);
    const Csv csv = read_csv(hamlet.out() / "addresses.csv");
    for (std::size_t k = 0; k < csv.rows.size(); ++k)
        if (csv.cell(k, "structure_id") == "A-3")
            CHECK(csv.cell(k, "roof_canopy_m2") == "0.000");
}

TEST_CASE("corrections may be a layer in another coordinate system, with columns of other names")
{
    CheckedHamlet csv;
    csv.visits(row_for("conifer", cells_wkt(195, 140, 3, 3)));
    csv.map();
    CheckedHamlet layer;
    write_text(layer.folder() / "utm.geojson",
               R"({"type":"FeatureCollection","crs":{"type":"name","properties":{"name":)"
               R"("urn:ogc:def:crs:EPSG::32611"}},"features":[{"type":"Feature","properties":)"
               R"({"was":"conifer","day":"2026-05-31","who":"AB"},"geometry":{"type":"Polygon",)"
               R"("coordinates":[[[600195,5600157],[600198,5600157],[600198,5600160],)"
               R"([600195,5600160],[600195,5600157]]]}}]})");
    reproject_layer(layer.folder() / "utm.geojson", layer.folder() / "visits.gpkg", "GPKG", 4326);
    layer.config("inputs.corrections", "path") = toml_text(layer.folder() / "visits.gpkg");
    layer.config("inputs.corrections", "kind") = toml_text("was");
    layer.config("inputs.corrections", "date") = toml_text("day");
    layer.config("inputs.corrections", "initials") = toml_text("who");
    CHECK(layer.map({"--verbose"}).said("inputs.corrections: WGS 84"));
    CHECK(text_of(layer.out() / "addresses.csv") == text_of(csv.out() / "addresses.csv"));
    check_same_cells(layer, csv);
}

TEST_CASE("rows of the history compare only where filters and field checks are the same")
{
    CheckedHamlet hamlet;
    hamlet.map();
    hamlet.config("inputs.structures", "where") = toml_text("structure_id IS NOT NULL");
    hamlet.map();
    CHECK(hamlet.manifest().at("configuration").at("filters").at("inputs.structures").at("where") ==
          "structure_id IS NOT NULL");
    CHECK(hamlet.manifest().at("changes").at("configuration_changed") == json::array({"filters"}));
    hamlet.visits(row_for("not_conifer", cells_wkt(90, 148, 10, 12)));
    hamlet.map();
    CHECK(hamlet.manifest().at("changes").at("configuration_changed") ==
          json::array({"field corrections"}));
    const Csv history = read_csv(hamlet.out() / "history.csv");
    std::set<std::string> methods;
    for (std::size_t row = 0; row < history.rows.size(); ++row)
        methods.insert(history.cell(row, "method"));
    CHECK(methods.size() == 3);
}
