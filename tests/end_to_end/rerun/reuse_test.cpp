// SPDX-License-Identifier: Apache-2.0

// A run that reuses what an earlier one kept, against a run that computes everything: the same
// bytes, whatever changed in between and whatever became of the state file.

#include "countryside.hpp"

#include <functional>
#include <random>

using namespace fuelring::test;

namespace {

struct Change {
    std::string_view why;
    std::function<void(Countryside&)> make;
    std::int64_t measured_again; ///< structures, at most: those in the tiles of what changed
};

const std::vector<Change> changes{
    {"one block of the raster", // one of nine, and the tiles of 64 cells around it
     [](Countryside& c) {
         for (std::int64_t k = 0; k < 40; ++k)
             set_cell(c.file("fuel.tif"), 60 + k, 65 + k, conifer);
     },
     100},
    {"a footprint moved",
     [](Countryside& c) {
         c.houses[0].wkt = rectangle_wkt(c.x0 + 61, c.y0 - 72, c.x0 + 74, c.y0 - 60);
         c.write_layers();
     },
     60},
    {"a structure more",
     [](Countryside& c) {
         c.houses.push_back(
             {"A", rectangle_wkt(c.x0 + 40, c.y0 - 80, c.x0 + 50, c.y0 - 70)}); // the first of all
         c.write_layers();
     },
     60},
    {"a structure gone",
     [](Countryside& c) {
         c.houses.erase(c.houses.begin() + 1);
         c.write_layers();
     },
     60},
    {"a visit to a cell", // its block and the tiles around it; and the classes of visits are new
     [](Countryside& c) {
         write_text(c.file("visits.csv"), "kind,date,initials,wkt\n"
                                          "conifer,2026-05-31,AB,POINT (600300.5 5601300.5)\n");
         c.config("inputs.corrections", "path") = toml_text(c.file("visits.csv"));
         c.config("inputs.corrections", "crs") = toml_text("EPSG:32611");
     },
     200},
    {"another visit",
     [](Countryside& c) {
         write_text(c.file("visits.csv"), "kind,date,initials,wkt\n"
                                          "conifer,2026-05-31,AB,POINT (600300.5 5601300.5)\n"
                                          "unmapped,2026-06-30,AB,POINT (600310.5 5601310.5)\n");
     },
     100},
    {"a visit says that a structure is gone", // and nothing any more of the cell of before
     [](Countryside& c) {
         write_text(c.file("visits.csv"), "kind,date,initials,wkt,structure_id\n"
                                          "conifer,2026-05-31,AB,POINT (600300.5 5601300.5),\n"
                                          "gone,2026-06-30,AB,,H-110\n");
     },
     160},
    {"an address changed",
     [](Countryside& c) {
         c.addresses[5].text = "Fir Lane 1";
         c.write_layers();
     },
     0},
    {"a class table changed",
     [](Countryside& c) {
         std::string text = text_of(c.file("classes.csv"));
         const auto at = text.find("\n1,") + 1;
         const auto share = text.find(",conifer,1", at);
         REQUIRE(share != std::string::npos);
         text.replace(share, 10, ",conifer,0.9");
         write_text(c.file("classes.csv"), text);
     },
     200},
    {"weights changed",
     [](Countryside& c) {
         c.config("rings", "outer_m") = "[1.5, 10, 30, 100]";
         c.config("rings", "weight") = "[0.1, 0.2, 0.3, 0.4]";
     },
     200},
    {"a ring less",
     [](Countryside& c) {
         c.config("rings", "outer_m") = "[1.5, 10, 30]";
         c.config("rings", "weight") = "[1, 1, 1]";
     },
     200},
    {"another size of tiles", [](Countryside& c) { c.config("run", "tile_cells") = "256"; }, 200}};

} // namespace

TEST_CASE("a run that reuses gives the bytes of one that computes everything, whatever changed")
{
    Countryside country;
    country.map();
    CHECK(country.outputs().count("measures", "computed") == 200);
    for (const Change& change : changes) {
        CAPTURE(change.why);
        change.make(country);
        const ProgramResult run = country.map("out", {"--jobs", "3", "--verbose"});
        INFO(run.err);
        const Outputs reused = country.outputs();
        CHECK(run.said("reused"));
        CHECK(reused.count("measures", "computed") <= change.measured_again);
        if (change.measured_again < 200)
            CHECK(reused.count("surface_blocks", "reused") >= 5); // of nine
        CHECK(reused.same_as(country.fresh()));
    }
}

TEST_CASE("tiles of overviews over blocks that did not change are taken over, byte for byte")
{
    Countryside country;
    country.map();
    const auto rasters_as_fresh = [&] {
        country.fresh();
        for (const char* raster : {"priority.tif", "fuel_used.tif"})
            CHECK(
                (text_of(country.file("out") / raster) == text_of(country.file("full") / raster)));
    };
    changes.front().make(country); // one of 3 x 3 blocks: 2 x 2 tiles above it, and one above those
    country.map("out", {"--jobs", "2"});
    CHECK(country.outputs().count("surface_blocks", "reused") == 8);
    CHECK(country.outputs().count("overview_tiles", "reused") == 2 * 3);
    CHECK(country.outputs().count("overview_tiles", "computed") == 2 * 2);
    rasters_as_fresh();
    changes.front().make(country); // what was taken over once is good for the next run
    set_cell(country.file("fuel.tif"), 1400, 1400, conifer);
    country.map();
    CHECK(country.outputs().count("overview_tiles", "reused") == 2 * 3);
    rasters_as_fresh();
}

TEST_CASE("an overview forgets a block that no ring reaches any more")
{
    Countryside country; // one pair of houses in each of four blocks, far from the others
    const std::vector<Shape> all = country.houses;
    const auto pairs = [&](std::initializer_list<int> first) {
        country.houses.clear();
        for (const int k : first)
            country.houses.insert(country.houses.end(), {all.at(k), all.at(k + 1)});
        country.write_layers();
    };
    pairs({22, 30, 102, 110});
    country.map();
    pairs({30, 102, 110});
    country.map();
    CHECK(country.outputs().count("surface_blocks", "reused") == 3);
    CHECK(country.outputs().count("overview_tiles", "reused") == 0);
    const Outputs again = country.outputs();
    CHECK(again.same_as(country.fresh()));
    for (const char* raster : {"priority.tif", "fuel_used.tif"})
        CHECK((text_of(country.file("out") / raster) == text_of(country.file("full") / raster)));
}

TEST_CASE("the comparison sees one result that is not recomputed")
{
    // The control: the outputs of before stand for those of after.
    Countryside country;
    country.map();
    const Outputs before = country.outputs();
    changes.front().make(country);
    CHECK_FALSE(before.same_as(country.fresh()));
}

TEST_CASE("where nothing changed nothing is rewritten, and the run says so")
{
    Countryside country;
    country.map();
    write_text(country.file("out/my notes.txt"), "ask about the hedge");
    const auto before = bytes_below(country.file("out"));
    const std::string state = text_of(country.state());
    const ProgramResult run = country.map("out", {"--json", "--jobs", "2"});
    CHECK(run.said("nothing changed since the run of"));
    CHECK(json::parse(run.out).at("nothing_changed") == true);
    CHECK((bytes_below(country.file("out")) == before));
    CHECK((text_of(country.state()) == state));

    // What a killed run left of the next state goes with whatever holds the folder next.
    const fs::path unfinished = country.state().string() + ".new";
    write_text(unfinished, "half a database");
    CHECK(country.map().said("nothing changed since the run of"));
    CHECK_FALSE(fs::exists(unfinished));
    write_text(unfinished, "half a database");

    // What others added since does not make it another run, and stays.
    REQUIRE(run_fuelring({"report", country.file("out"), "--quiet"}).exit_code == 0);
    CHECK_FALSE(fs::exists(unfinished));
    CHECK(country.map().said("nothing changed since the run of"));
    CHECK(fs::exists(country.file("out/report.html")));

    fs::remove(country.file("out/neighbourhoods.csv")); // then something did
    CHECK_FALSE(country.map().said("nothing changed"));
    CHECK(country.outputs().manifest.contains("counts"));
    CHECK(json::parse(text_of(country.file("out/run.json"))).at("generation") == 3);
    write_text(country.file("fuel.tfw"), "1\n0\n0\n-1\n600000.5\n5601535.5\n"); // beside an input
    CHECK_FALSE(country.map().said("nothing changed"));
}

TEST_CASE("a grid that PROJ newly finds is a change: another operation may be chosen")
{
    Countryside country;
    const std::vector<std::string> home{"env", "XDG_DATA_HOME=" + country.file("home").string()};
    fs::create_directories(country.file("home/proj"));
    const auto map = [&] {
        return run_fuelring(
            {"map", country.file("run.toml"), "--out", country.file("out"), "--verbose"}, home);
    };
    country.config.write(country.file("run.toml"));
    REQUIRE(map().exit_code == 0);
    CHECK(map().said("nothing changed since the run of"));
    write_text(country.file("home/proj/new_grid.tif"), "shifts");
    const ProgramResult run = map();
    INFO(run.err);
    CHECK_FALSE(run.said("nothing changed"));
    CHECK(run.said("grids of PROJ changed"));
}

TEST_CASE("the state may be absent, old, of another folder or damaged: the bytes are the same")
{
    Countryside country;
    country.map();
    const std::string old_state = text_of(country.state());
    changes[1].make(country);
    country.map();
    const std::string state = text_of(country.state());
    changes[0].make(country);
    const Outputs fresh = country.fresh();
    const auto run_with = [&](const std::string& bytes) {
        write_text(country.state(), bytes);
        country.map();
        const Outputs outputs = country.outputs();
        CHECK(outputs.same_as(fresh));
        return outputs.count("measures", "reused");
    };
    CHECK(run_with(state) > 100); // the control: a sound state is of use
    CHECK(run_with(old_state) > 100);
    CHECK(run_with("no database") == 0);
    CHECK(run_with("") == 0);
    CHECK(run_with(text_of(country.file(".full.state"))) == 200);
    CHECK(run_with(state.substr(0, state.size() / 2)) < 200);
    fs::remove(country.state());
    country.map();
    CHECK(country.outputs().same_as(fresh));

    std::mt19937 random{20261125};
    std::int64_t lost = 0;
    for (int turn = 0; turn < 8; ++turn) {
        CAPTURE(turn);
        std::string damaged = state;
        const int flips = 4 << turn; // from a few to hundreds
        for (int k = 0; k < flips; ++k)
            damaged[random() % damaged.size()] ^= static_cast<char>(1 + random() % 255);
        lost += 200 - run_with(damaged);
    }
    CHECK(lost > 200); // damage was met, not overlooked
}
