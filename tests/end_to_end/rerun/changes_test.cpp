// SPDX-License-Identifier: Apache-2.0

// What changed since the run in the folder: changes.csv, the line, run.json, the exit code; and
// what is carried from run to run.
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <numbers>
#include <set>

using namespace fuelring::test;
using nlohmann::json;

namespace {

constexpr const char* no_value = "";

json manifest_of(const Hamlet& hamlet)
{
    return json::parse(text_of(hamlet.out() / "run.json"));
}

/// Maps, which must end with `exit_code`.
ProgramResult map(const Hamlet& hamlet, const std::vector<std::string>& more = {},
                  int exit_code = 0)
{
    ProgramResult run = hamlet.run("map", more);
    INFO(run.err);
    REQUIRE(run.exit_code == exit_code);
    return run;
}

/// The row of a structure in one of the tables.
std::size_t row_of(const Csv& csv, const std::string& id)
{
    for (std::size_t k = 0; k < csv.rows.size(); ++k)
        if (csv.cell(k, "structure_id") == id)
            return k;
    FAIL("no row of " << id);
    return 0;
}

double number(const std::string& cell)
{
    return std::stod(cell);
}

/// One cell of conifers 5 m east of A-4, on its middle row.
void plant(const Hamlet& hamlet)
{
    set_cell(hamlet.folder() / "fuel.tif", 145, 195, conifer);
}

void write_structures(const Hamlet& hamlet, const std::vector<Shape>& shapes)
{
    fs::remove(hamlet.folder() / "structures.gpkg");
    make_layer(hamlet.folder() / "structures.gpkg", "GPKG", "structure_id", 32611, shapes);
}

Shape shape_of(const House& h)
{
    return {h.id, rectangle_wkt(h.x0, h.y0, h.x1, h.y1)};
}

} // namespace

TEST_CASE("one new conifer cell is told by structure, the largest rise first")
{
    Hamlet hamlet;
    map(hamlet);
    CHECK_FALSE(fs::exists(hamlet.out() / "changes.csv"));
    CHECK(manifest_of(hamlet).at("changes").is_null());
    const Csv before = read_csv(hamlet.out() / "addresses.csv");
    plant(hamlet);
    const ProgramResult run = map(hamlet);
    const Csv after = read_csv(hamlet.out() / "addresses.csv");
    const Csv changes = read_csv(hamlet.out() / "changes.csv");
    CHECK(text_of(hamlet.out() / "changes.csv")
              .starts_with("\xEF\xBB\xBF"
                           "address,structure_id,"));
    CHECK(text_of(hamlet.out() / "changes.csvt").starts_with("\"String\",\"String\""));

    // A square metre in a ring of area P (r2 - r1) + pi (r2^2 - r1^2), all of it mapped (Steiner's
    // formula), adds 100 w / area points. The perimeter of A-4 is 40 m; w is 0.35.
    const double ring_m2 = 40 * 8.5 + std::numbers::pi * (100 - 2.25);
    REQUIRE(changes.cell(0, "structure_id") == "A-4");
    CHECK(number(changes.cell(0, "exposure_change")) ==
          doctest::Approx(35 / ring_m2).epsilon(0).scale(1).epsilon(1.01e-4));
    CHECK(changes.cell(0, "nearest_conifer_m_before") == "70.000");
    CHECK(changes.cell(0, "nearest_conifer_m_after") == "5.000");
    CHECK(changes.cell(0, "conifer_m2_within_10m_before") == "0.000");
    CHECK(changes.cell(0, "conifer_m2_within_10m_after") == "1.000");
    CHECK(changes.cell(0, "notes") == "new_conifer_within_10m");
    CHECK(changes.cell(1, "structure_id") == "A-3"); // 10 to 30 m from it
    CHECK(changes.cell(1, "address") == "Fir Lane 9 \"The Nook\"");
    CHECK(changes.cell(1, "notes") == no_value);

    std::set<std::string> told;
    for (std::size_t k = 0; k < changes.rows.size(); ++k) {
        const std::string id = changes.cell(k, "structure_id");
        CAPTURE(id);
        told.insert(id);
        CHECK(changes.cell(k, "what") == "changed");
        const std::size_t was = row_of(before, id);
        const std::size_t is = row_of(after, id);
        CHECK(changes.cell(k, "exposure_before") == before.cell(was, "exposure"));
        CHECK(changes.cell(k, "exposure_after") == after.cell(is, "exposure"));
        CHECK(changes.cell(k, "rank_before") == before.cell(was, "rank"));
        CHECK(changes.cell(k, "rank_after") == after.cell(is, "rank"));
        CHECK(changes.cell(k, "rank_change") == "0");
        CHECK(number(changes.cell(k, "exposure_change")) ==
              doctest::Approx(number(after.cell(is, "exposure")) -
                              number(before.cell(was, "exposure"))));
    }
    for (std::size_t k = 0; k < after.rows.size(); ++k) { // and none is missing
        const std::string id = after.cell(k, "structure_id");
        CHECK(told.contains(id) ==
              (after.cell(k, "exposure") != before.cell(row_of(before, id), "exposure")));
    }
    const json json_changes = manifest_of(hamlet).at("changes");
    CHECK(json_changes.at("changed") == told.size());
    CHECK(json_changes.at("new_conifer_within_10m") == 1);
    CHECK(json_changes.at("largest_rise").at("structure_id") == "A-4");
    CHECK(json_changes.at("configuration_changed").empty());
    CHECK(run.said(
        fmt::format("{} of 5 structures changed: 0 fell, {} rose (most: +0.1 at A-4); 1 has "
                    "new conifers within 10 m",
                    told.size(), told.size())));
}

TEST_CASE("structures that come and go are rows of their own, with the addresses they had")
{
    Hamlet hamlet;
    map(hamlet);
    const Csv before = read_csv(hamlet.out() / "addresses.csv");
    std::vector<Shape> shapes{{"=B", rectangle_wkt(600220, 5600150, 600230, 5600160)}};
    for (const House& house : hamlet_houses)
        if (std::string{house.id} != "A-3")
            shapes.push_back(shape_of(house));
    write_structures(hamlet, shapes);
    hamlet.config("inputs.addresses", "join_within_m") = "1"; // or the Nook would join A-4
    const ProgramResult run = map(hamlet);
    const Csv changes = read_csv(hamlet.out() / "changes.csv");
    REQUIRE(changes.rows.size() == 3); // are gone, from A-4 nothing was seen to change
    CHECK(changes.cell(0, "structure_id") == "'=B");
    CHECK(changes.cell(0, "what") == "new");
    CHECK(changes.cell(0, "exposure_before") == no_value);
    CHECK(changes.cell(1, "structure_id") == "A-3");
    CHECK(changes.cell(1, "what") == "gone");
    CHECK(changes.cell(1, "address") == "Fir Lane 9 \"The Nook\"");
    CHECK(changes.cell(1, "exposure_before") == before.cell(row_of(before, "A-3"), "exposure"));
    CHECK(changes.cell(1, "exposure_after") == no_value);
    CHECK(changes.cell(2, "structure_id") == "A-5");
    CHECK(run.said(
        "0 of 4 structures changed: 0 fell, 0 rose, 1 new, 2 gone; none has new conifers"));
}

TEST_CASE("conifers on ground that was not mapped before are newly mapped, not new")
{
    Hamlet hamlet;
    for (std::int64_t col = 193; col < 198; ++col)
        set_cell(hamlet.folder() / "fuel.tif", 145, col, no_data);
    map(hamlet);
    for (std::int64_t col = 193; col < 198; ++col)
        set_cell(hamlet.folder() / "fuel.tif", 145, col, conifer);
    map(hamlet);
    const Csv changes = read_csv(hamlet.out() / "changes.csv");
    const std::size_t row = row_of(changes, "A-4");
    CHECK(changes.cell(row, "conifer_m2_within_10m_before") == "0.000");
    CHECK(changes.cell(row, "conifer_m2_within_10m_after") == "5.000");
    CHECK(changes.cell(row, "notes") == "newly_mapped_within_10m");
    CHECK(manifest_of(hamlet).at("changes").at("new_conifer_within_10m") == 0);
}

TEST_CASE("--fail-on-change ends with 1 after a change, outputs in place, and with 0 otherwise")
{
    Hamlet hamlet;
    map(hamlet, {"--fail-on-change"}); // a first run has nothing to compare with
    map(hamlet, {"--fail-on-change"}); // nothing changed
    CHECK(manifest_of(hamlet).at("generation") == 1);
    CHECK(map(hamlet, {"--fail-on-change", "--full"}).said("none of 5 structures changed"));
    CHECK(manifest_of(hamlet).at("generation") == 2);
    CHECK(read_csv(hamlet.out() / "changes.csv").rows.empty());
    plant(hamlet);
    const ProgramResult run = map(hamlet, {"--fail-on-change", "--json"}, 1);
    CHECK(run.errors().empty());
    CHECK(json::parse(run.out).at("changes").at("rose").get<int>() > 0);
    CHECK(manifest_of(hamlet).at("generation") == 3);
    CHECK_FALSE(read_csv(hamlet.out() / "changes.csv").rows.empty());
    map(hamlet, {"--fail-on-change"}); // the change is known now
    hamlet.config("inputs.fuel", "band") = "2";
    map(hamlet, {"--fail-on-change"}, 3);
    CHECK(run_fuelring({"--help"}).out.find("1 done, and something changed") != std::string::npos);
}

TEST_CASE("where the configuration changed, too, the line and run.json say so")
{
    Hamlet hamlet;
    map(hamlet);
    hamlet.config("rings", "outer_m") = "[1.5, 30]";
    hamlet.config("rings", "near_m") = "30";
    hamlet.config("rings", "weight") = "[1, 1]";
    const ProgramResult run = map(hamlet);
    CHECK(run.said("the configuration changed as well (near distance, rings, weights)"));
    CHECK(manifest_of(hamlet).at("changes").at("configuration_changed") ==
          json{"near distance", "rings", "weights"});
    const Csv changes = read_csv(hamlet.out() / "changes.csv");
    REQUIRE_FALSE(changes.rows.empty());
    CHECK(changes.column("conifer_m2_within_30m_before") > 0); // the earlier run knew 30 m
    CHECK(changes.cell(row_of(changes, "A-1"), "conifer_m2_within_30m_before") != no_value);
    CHECK(changes.cell(row_of(changes, "A-1"), "notes") == no_value);

    hamlet.config("rings", "outer_m") = "[1.5, 20]"; // but not 20 m
    hamlet.config("rings", "near_m") = "20";
    map(hamlet);
    const Csv again = read_csv(hamlet.out() / "changes.csv");
    CHECK(again.cell(row_of(again, "A-1"), "conifer_m2_within_20m_before") == no_value);
    CHECK(again.cell(row_of(again, "A-1"), "conifer_m2_within_20m_after") != no_value);
}

TEST_CASE("a damaged earlier set is said, there is no changes.csv, and the run does not fail")
{
    Hamlet hamlet;
    map(hamlet);
    plant(hamlet);
    write_text(hamlet.out() / "addresses.csv", "cut short");
    const ProgramResult run = map(hamlet, {"--fail-on-change"});
    CHECK(run.said("what changed since the last run is not known: the earlier set is damaged"));
    CHECK_FALSE(fs::exists(hamlet.out() / "changes.csv"));
    CHECK(manifest_of(hamlet).at("changes").at("compared") == false);
    CHECK(read_csv(hamlet.out() / "history.csv").rows.size() == 2); // its own bytes were sound

    write_text(hamlet.out() / "run.json", "{");
    CHECK(map(hamlet, {"--fail-on-change", "--full"})
              .said("what changed since the last run is not known"));
}

TEST_CASE("the history holds the last runs, and nothing changed adds none")
{
    Hamlet hamlet;
    hamlet.config("output", "history_runs") = "3";
    make_layer(hamlet.folder() / "areas.gpkg", "GPKG", "name", 32611,
               {{"Larch, =West", rectangle_wkt(600000, 5600000, 600150, 5600300)}});
    hamlet.config("inputs.neighbourhoods", "path") = toml_text(hamlet.folder() / "areas.gpkg");
    hamlet.config("inputs.neighbourhoods", "name") = toml_text("name");
    for (const std::int64_t col : {0, 1, 2, 3}) {
        if (col == 2)
            hamlet.config("rings", "weight") = "[1, 1, 1, 1]",
                                   hamlet.config("rings", "outer_m") = "[1.5, 10, 30, 100]";
        set_cell(hamlet.folder() / "fuel.tif", 145, 195 + col, conifer);
        map(hamlet, col == 1 ? std::vector<std::string>{"--full"} : std::vector<std::string>{});
        map(hamlet); // nothing changed
    }
    const Csv history = read_csv(hamlet.out() / "history.csv");
    const Csv now = read_csv(hamlet.out() / "neighbourhoods.csv");
    REQUIRE(history.rows.size() == 9); // a neighbourhood, (outside), (community) of three runs
    for (std::size_t k = 0; k < 9; ++k) {
        CAPTURE(k);
        CHECK(history.cell(k, "generation") == std::to_string(2 + k / 3));
        CHECK(history.cell(k, "neighbourhood") == now.cell(k % 3, "neighbourhood"));
        CHECK(history.cell(k, "near_m") == "10");
    }
    for (std::size_t k = 6; k < 9; ++k) { // the last run is that of the set
        CHECK(history.cell(k, "finished") == manifest_of(hamlet).at("timings").at("finished"));
        CHECK(history.cell(k, "structures") == now.cell(k % 3, "structures"));
        CHECK(history.cell(k, "structures_near") ==
              now.cell(k % 3, "structures_conifer_within_10m"));
        for (const char* column : {"mean_exposure", "p90_exposure", "sum_exposure"})
            CHECK(history.cell(k, column) == now.cell(k % 3, column));
        CHECK(history.cell(k, "conifer_ha_near") == now.cell(k % 3, "conifer_ha_within_10m"));
    }
    // Other weights are another method: no trend is read across it.
    CHECK(history.cell(0, "method") != history.cell(3, "method"));
    CHECK(history.cell(3, "method") == history.cell(6, "method"));
}

TEST_CASE("a history that somebody changed is kept under another name, and a new one begins")
{
    Hamlet hamlet;
    map(hamlet);
    const std::string mine = text_of(hamlet.out() / "history.csv") + "my own line\r\n";
    write_text(hamlet.out() / "history.csv", mine);
    const ProgramResult run = map(hamlet);
    CHECK(run.said("it was changed since it was written: the history of earlier runs is not "
                   "carried on"));
    CHECK(read_csv(hamlet.out() / "history.csv").rows.size() == 1);
    const auto kept = [&] {
        std::size_t found = 0;
        for (const auto& [name, bytes] : bytes_below(hamlet.out()))
            found += bytes == mine && name != "history.csv" ? 1 : 0;
        return found;
    };
    CHECK(kept() == 1);
    map(hamlet, {"--full"});
    CHECK(kept() == 1); // a user's file from now on
    CHECK(read_csv(hamlet.out() / "history.csv").rows.size() == 2);
}
