// SPDX-License-Identifier: Apache-2.0

// Exit code 6: each of the gate's reasons through the program, with the run that has none.
#include "gate_scenes.hpp"

using namespace fuelring::test;
using nlohmann::json;

namespace {

MessageRow row_of(const std::string& message)
{
    for (const MessageRow& row : messages_of_manual("## Messages of the input check"))
        if (row.message == "the input check stopped this run: " + message)
            return row;
    FAIL("the manual's table of the gate lacks: " << message);
    return {};
}

} // namespace

TEST_CASE("each reason of the gate stops map with code 6, and --accept publishes and records it")
{
    GatedHamlet hamlet;
    for (const Held& held : ways_to_be_held()) {
        CAPTURE(held.reason);
        hamlet.restore();
        held.act(hamlet);
        const MessageRow row = row_of(held.message);
        std::vector<std::string> words = row.words();
        words.insert(words.end(), held.words.begin(), held.words.end());
        words.insert(words.end(),
                     {"run once with --accept " + held.kind(), "generation 1 stays in"});
        CHECK(row.exit_code == 6);
        hamlet.refuses(row.exit_code, words); // outputs as they were, to the byte

        const ProgramResult check = hamlet.run("check", {"--json"});
        CHECK(check.exit_code == 0);
        CHECK(reasons_of(json::parse(check.out).at("gate").at("would_hold")) ==
              (held.seen_by_check ? std::vector{held.reason} : std::vector<std::string>{}));
        CHECK(check.said("the input check would stop map") == held.seen_by_check);

        // The control: it was the gate alone that stopped it.
        const fs::path copy = hamlet.folder() / "copy";
        fs::remove_all(copy);
        fs::copy(hamlet.out(), copy);
        const ProgramResult accepted = hamlet.run("map", {"--accept", held.kind(), "--out", copy});
        REQUIRE(accepted.exit_code == 0);
        CHECK(accepted.said("warning: accepted, although the input check would stop it: "));
        const json gate = hamlet.gate(copy);
        const std::vector<std::string> reasons = reasons_of(gate.at("accepted"));
        CHECK(std::find(reasons.begin(), reasons.end(), held.reason) != reasons.end());
        CHECK(gate.at("accepted").at(0).at("kind") == held.kind());
        CHECK(gate.at("compared_with").at("generation") == 1);
    }

    hamlet.restore(); // the control
    const ProgramResult run = hamlet.run("map", {"--verbose"});
    CHECK(run.exit_code == 0);
    CHECK(run.said(
        "the input check: compared with generation 1: 5 structures in the last run, 5 now"));
    const json gate = hamlet.gate(hamlet.out());
    CHECK(gate.at("accepted").empty());
    CHECK(gate.at("moved").at("structures").at("ids_vanished_percent") == 0);
    CHECK(gate.at("moved").at("ground").size() == 2); // near_m and the widest
}

TEST_CASE("what is no reason passes: a hair's shift, a few houses, a tree more, no gate")
{
    GatedHamlet hamlet;
    move_raster_north(hamlet.fuel(), 0.009); // of a cell of 1 m
    CHECK(hamlet.run("map").exit_code == 0);
    hamlet.restore();
    hamlet.change_structures([](House&) {},
                             {{"B-1", rectangle_wkt(600130, 5600050, 600140, 5600060)},
                              {"B-2", rectangle_wkt(600150, 5600050, 600160, 5600060)}});
    hamlet.config("gate", "max_change") = "40";
    CHECK(hamlet.run("map").exit_code == 0);
    hamlet.restore();
    hamlet.config("gate", "max_structures_change") = "30"; // two of seven gone
    hamlet.config("gate", "max_change") = "40";
    set_cell(hamlet.fuel(), 145, 125, conifer);
    CHECK(hamlet.run("map").exit_code == 0);
    const auto leave_addresses = [&](const std::vector<Shape>& shapes) {
        fs::remove(hamlet.folder() / "addresses.gpkg");
        make_layer(hamlet.folder() / "addresses.gpkg", "GPKG", "text", 32611, shapes);
    };
    leave_addresses({{"Larch Way 2, flat A", "POINT (600111 5600145)"}, // two homes lost theirs
                     {"Larch Way 2, flat B", "POINT (600110 5600145)"},
                     {"Far Road 1", "POINT (600020 5600020)"}});
    CHECK(hamlet.run("map").exit_code == 0);
    hamlet.change_fuel([](auto, auto, int) { return no_data; });
    CHECK(hamlet.run("map").exit_code == 6);
    hamlet.config("gate", "on") = "false";
    CHECK(hamlet.run("map").exit_code == 0);
    CHECK(hamlet.gate(hamlet.out()).at("accepted").empty());
    CHECK(hamlet.gate(hamlet.out()).at("seen").at("ground").size() == 4);
}

TEST_CASE("--accept takes one kind and leaves the others held; warnings say which are new")
{
    GatedHamlet hamlet;
    move_raster_north(hamlet.fuel(), 12);
    const std::string twice = rectangle_wkt(600130, 5600050, 600140, 5600060);
    hamlet.change_structures(
        [](House&) {},
        {{"B-1", twice}, {"B-2", twice}, {"B-3", rectangle_wkt(600170, 5600050, 600180, 5600060)}});
    hamlet.refuses(6, {"is shifted by 0, 12", "the number of structures: 5 in the last run, 8 now",
                       "--accept raster --accept structures",
                       "and at " + hamlet.structures().string()});
    hamlet.refuses(6, {"is shifted by 0, 12"}, {"--accept", "structures"});
    hamlet.refuses(6, {"the number of structures"}, {"--accept", "raster"});
    hamlet.refuses(2, {"'rasters' is not a kind of finding", "raster, ground, codes"},
                   {"--accept", "rasters"});
    hamlet.refuses(2, {"'' is not a kind of finding"}, {"--accept", ""}); // $KIND, not set
    hamlet.config("gate", "max_change") = "100";
    hamlet.config("gate", "max_relative_change") = "100";
    const ProgramResult run = hamlet.run("map", {"--accept", "structures", "--accept", "raster"});
    REQUIRE(run.exit_code == 0);
    CHECK(reasons_of(hamlet.gate(hamlet.out()).at("accepted")) ==
          std::vector<std::string>{"shifted", "structures"});
    CHECK(run.said("warning: new since the last run: 2 structures have identical outlines: "
                   "B-1, B-2"));
    CHECK(run.said("warning: 1 address has no structure within 25 m: Far Road 1")); // as before
    CHECK(hamlet.gate(hamlet.out()).at("new_warnings").size() == 1);
}

TEST_CASE("a first run that sees nothing mapped is held, too, and leaves nothing")
{
    GatedHamlet hamlet;
    hamlet.change_fuel([](auto, auto, int) { return no_data; });
    const fs::path out = hamlet.folder() / "new";
    const ProgramResult run = hamlet.run("map", {"--out", out});
    check_refused(
        run, 6,
        {"the input check stopped this run: no ground within 100 m", "nothing was written"});
    CHECK_FALSE(fs::exists(out));
    CHECK(names_in(hamlet.folder()).find(".new.new.") == std::string::npos); // staging

    CHECK(hamlet.run("map", {"--out", out, "--accept"}).exit_code == 0);
    CHECK(reasons_of(hamlet.gate(out).at("accepted")) == std::vector<std::string>{"unmapped"});
    hamlet.restore();
    CHECK(hamlet.run("map", {"--out", hamlet.folder() / "other"}).exit_code == 0); // the control
    CHECK(hamlet.gate(hamlet.folder() / "other").at("compared_with").is_null());
}

TEST_CASE("the gate holds treat before it maps, and the plan of before stays")
{
    GatedHamlet hamlet;
    hamlet.config("treat", "budget") = "{ hectares = 0.01 }";
    REQUIRE(hamlet.run("treat").exit_code == 0);
    move_raster_north(hamlet.fuel(), 12);
    const auto before = bytes_below(hamlet.out());
    check_refused(hamlet.run("treat"), 6, {"the fuel raster is shifted by 0, 12"});
    CHECK((bytes_below(hamlet.out()) == before));
    CHECK(hamlet.run("treat", {"--accept"}).exit_code == 0);
    CHECK(reasons_of(hamlet.gate(hamlet.out()).at("accepted")) ==
          std::vector<std::string>{"shifted"});
    // The next run is compared with what was accepted.
    CHECK(hamlet.run("map", {"--full"}).exit_code == 0);
    CHECK(hamlet.gate(hamlet.out()).at("accepted").empty());
}

TEST_CASE("what shards measured is held when it is merged, and --accept publishes and records it")
{
    GatedHamlet hamlet;
    hamlet.change_fuel(
        [](auto, std::int64_t col, int) { return col < 50 ? std::optional{grass} : std::nullopt; });
    const std::string parts = hamlet.folder() / "parts";
    std::vector<std::string> files;
    for (const char* shard : {"1/2", "2/2"}) {
        const ProgramResult run = hamlet.run("map", {"--shard", shard, "--out", parts});
        INFO(run.err);
        REQUIRE(run.exit_code == 0); // a part replaces nothing
        files.push_back(fmt::format("{}/shard-{}-of-2.part", parts, shard[0]));
    }
    const auto before = bytes_below(hamlet.out());
    check_refused(hamlet.run("merge", files), 6,
                  {"the conifer share of the land within 100 m of the structures: "});
    CHECK((bytes_below(hamlet.out()) == before));

    files.emplace_back("--accept");
    CHECK(hamlet.run("merge", files).exit_code == 0);
    const std::vector<std::string> reasons = reasons_of(hamlet.gate(hamlet.out()).at("accepted"));
    CHECK(std::find(reasons.begin(), reasons.end(), "conifer_share") != reasons.end());
}

TEST_CASE("field checks count: visits that leave nearly no conifers are held, a few cells are not")
{
    GatedHamlet hamlet;
    const fs::path visits = hamlet.folder() / "visits.csv";
    hamlet.config("inputs.corrections", "path") = toml_text(visits);
    hamlet.config("inputs.corrections", "crs") = toml_text("EPSG:32611");
    const auto visited = [&](double x1, double y1) {
        write_text(visits, fmt::format("kind,structure_id,group,date,initials,wkt\n"
                                       "not_conifer,,grass,2026-05-31,AB,\"{}\"\n",
                                       rectangle_wkt(600000, 5600000, x1, y1)));
    };
    visited(600005, 5600005);
    CHECK(hamlet.run("map").exit_code == 0);
    visited(600110, 5600300);
    hamlet.refuses(6, {"the conifer share of the land within 100 m of the structures: ", ", 0% now",
                       "look at that file and at " + visits.string()});
    REQUIRE(hamlet.run("map", {"--accept"}).exit_code == 0);
    // The new imagery agrees with the visits: nothing moved, nothing is held.
    hamlet.change_fuel([](auto, std::int64_t col, int) {
        return col < hamlet_grass_col ? std::optional{grass} : std::nullopt;
    });
    CHECK(hamlet.run("map").exit_code == 0);
    CHECK(hamlet.gate(hamlet.out()).at("accepted").empty());
}

TEST_CASE("a run of an earlier version is compared as far as it says what it saw")
{
    GatedHamlet hamlet;
    json manifest = json::parse(text_of(hamlet.out() / "run.json"));
    manifest.erase("gate");
    write_text(hamlet.out() / "run.json", manifest.dump());
    move_raster_north(hamlet.fuel(), 12); // fuel_used.tif has the grid
    CHECK(hamlet.run("map").exit_code == 6);
    hamlet.restore();
    const ProgramResult run = hamlet.run("map", {"--full"});
    CHECK(run.exit_code == 0);
    CHECK(run.said("the last run does not say shares of the ground around its structures"));
    CHECK(run.said("the last run does not say shares of addresses and parcels"));
    CHECK(hamlet.gate(hamlet.out()).at("not_compared").size() == 2);

    hamlet.config("rings", "outer_m") = "[1.5, 20]"; // other distances
    hamlet.config("rings", "weight") = "[1, 1]";
    hamlet.config("rings", "near_m") = "1.5";
    CHECK(hamlet.run("map").exit_code == 0);
    CHECK(hamlet.gate(hamlet.out()).at("not_compared").size() == 2);       // within 20 m, and codes
    CHECK(hamlet.gate(hamlet.out()).at("moved").at("ground").size() == 1); // within 1.5 m
}
