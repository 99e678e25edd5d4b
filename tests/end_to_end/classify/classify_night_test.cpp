// SPDX-License-Identifier: Apache-2.0

// The night: new imagery is classified, mapped and judged by `map` alone (run.classify), what did
// not change is taken over, and whoever kills a run finds whole sets.
#include "end_to_end/refusal.hpp"
#include "support/read_outputs.hpp"
#include "woods.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include <chrono>
#include <csignal>
#include <thread>

using namespace fuelring::test;
using namespace std::chrono_literals;

namespace {

nlohmann::json manifest_in(const fs::path& folder)
{
    return nlohmann::json::parse(text_of(folder / "run.json"));
}

/// Without what tells of the time and of earlier runs.
std::map<std::string, std::string> figures_of(const fs::path& folder)
{
    auto files = bytes_below(folder);
    for (const char* name :
         {"run.json", "history.csv", "history.csvt", "changes.csv", "changes.csvt"})
        files.erase(name);
    return files;
}

/// Woods with homes, a map made of what is classified, and two tiles of photograph, of which
/// training looks at the western one alone. The grid has four blocks and more.
struct NightWoods : Woods {
    static constexpr int middle = 150;
    fs::path map_out() const { return folder() / "out"; }

    NightWoods()
    {
        make_tiles();
        make_homes();
        config("imagery", "images") =
            "[{ path = 'tile_*.tif', roles = ['blue', 'green', 'red', 'near_infrared'] }, "
            "{ path = 'heights.tif', roles = ['height'] }]";
        config("imagery", "cell_m") = "0.2";
        config("inputs.structures", "path") = "'homes.gpkg'";
        config("inputs.structures", "id") = "'id'";
        config("inputs.fuel", "path") = "'fuel/conifer_share.tif'";
        config("inputs.fuel", "values") = "'fraction'";
        config("rings", "outer_m") = "[1.5, 10, 30]";
        config("rings", "weight") = "[0.4, 0.4, 0.2]";
        config("output", "dir") = "'out'";
        config("run", "classify") = "true";
        train_in_the_west();
    }

    void make_tiles() const
    {
        make_photo(folder() / "tile_a.tif", 0, middle);
        make_photo(folder() / "tile_b.tif", middle, cells - middle);
    }

    void make_homes() const
    {
        std::vector<Shape> homes;
        for (int k = 0; k < 16; ++k) {
            const double x = 600'020 + 50 * (k % 4), y = 5'600'080 + 50 * (k / 4);
            homes.push_back({"H" + std::to_string(k), rectangle_wkt(x, y, x + 8, y + 8)});
        }
        make_layer(folder() / "homes.gpkg", "GPKG", "id", 32611, homes);
    }

    void train_in_the_west() const
    {
        constexpr const char* words[] = {"conifer", "broadleaved", "grass", "built"};
        std::vector<Shape> areas;
        for (int row = square / 2; row < cells; row += square)
            for (int col = square / 2; col < middle - square / 2; col += square) {
                const double x = 600'000 + col, y = 5'600'300 - row;
                areas.push_back(
                    {words[kind_at(row, col)], rectangle_wkt(x - 4, y - 4, x + 4, y + 4)});
            }
        fs::remove(folder() / "training.gpkg");
        make_layer(folder() / "training.gpkg", "GPKG", "group", 32611, areas);
    }

    /// The eastern tile with other trees on it: its columns are those further west.
    void plant_the_east() const
    {
        make_photo(folder() / "tile_b.tif", middle, cells - middle, 32611, square);
    }
    void plant_the_west() const { make_photo(folder() / "tile_a.tif", 0, middle, 32611, square); }
};

} // namespace

TEST_CASE("map with run.classify makes its raster, and does nothing where nothing changed")
{
    const NightWoods woods;
    must_succeed(woods.run("map"));
    const auto manifest = manifest_in(woods.map_out());
    CHECK(manifest.at("classify").at("made_now") == true);
    CHECK(manifest.at("classify").at("run_id") == manifest_in(woods.out()).at("run_id"));
    CHECK(read_csv(woods.map_out() / "addresses.csv").rows.size() == 16);
    const auto fuel = bytes_below(woods.out());
    const auto out = bytes_below(woods.map_out());
    const ProgramResult again = must_succeed(woods.run("map"));
    CHECK(again.said("images and training did not change"));
    CHECK(again.said("nothing changed since the run of"));
    CHECK((bytes_below(woods.out()) == fuel));
    CHECK((bytes_below(woods.map_out()) == out));
    must_succeed(woods.run("check"));
}

TEST_CASE("where one tile of imagery changed its blocks alone are told again, to the same bytes")
{
    NightWoods woods;
    must_succeed(woods.run("map"));
    const auto before = figures_of(woods.out());
    woods.plant_the_east();
    must_succeed(woods.run("map", {"--accept"}));
    const auto reuse = manifest_in(woods.out()).at("reuse");
    CHECK(reuse.at("model") == "reused");
    CHECK(reuse.at("blocks").at("reused") > 0);
    CHECK(reuse.at("blocks").at("computed") > 0);
    const auto fuel = figures_of(woods.out());
    const auto out = figures_of(woods.map_out());
    CHECK((fuel.at("conifer_share.tif") != before.at("conifer_share.tif")));
    fs::remove_all(woods.out());
    fs::remove_all(woods.map_out());
    fs::remove(woods.folder() / ".fuel.state");
    fs::remove(woods.folder() / ".out.state");
    must_succeed(woods.run("map"));
    CHECK((figures_of(woods.out()) == fuel));
    CHECK((figures_of(woods.map_out()) == out));
}

TEST_CASE("where training lies in the tile that changed, everything is new")
{
    const NightWoods woods;
    must_succeed(woods.run());
    woods.plant_the_west();
    must_succeed(woods.run());
    const auto reuse = manifest_in(woods.out()).at("reuse");
    CHECK(reuse.at("model") == "made");
    CHECK(reuse.at("blocks").at("reused") == 0);
    const auto fuel = figures_of(woods.out());
    must_succeed(woods.run("classify", {"--full"}));
    CHECK(manifest_in(woods.out()).at("reuse").at("model") == "made");
    CHECK((figures_of(woods.out()) == fuel));
}

TEST_CASE("a state that is damaged or gone costs time alone")
{
    const NightWoods woods;
    must_succeed(woods.run());
    const auto fuel = figures_of(woods.out());
    const fs::path state = woods.folder() / ".fuel.state";
    std::string bytes = text_of(state);
    for (std::size_t at = 4000; at < bytes.size(); at += 5000)
        bytes[at] = static_cast<char>(bytes[at] + 1);
    write_text(state, bytes);
    woods.make_heights(woods.folder() / "heights.tif"); // the same, written again
    must_succeed(woods.run());
    CHECK((figures_of(woods.out()) == fuel));
    fs::remove(state);
    must_succeed(woods.run());
    CHECK((figures_of(woods.out()) == fuel));
}

TEST_CASE("the gate looks at a raster that was classified as at one that was delivered")
{
    NightWoods woods;
    woods.make_winter(woods.folder() / "winter.tif");
    woods.config.tables.erase("imagery.training");
    woods.config("imagery", "images") =
        "[{ path = 'winter.tif', roles = ['red', 'near_infrared'], season = 'leaf_off' }, "
        "{ path = 'heights.tif', roles = ['height'] }]";
    must_succeed(woods.run("map"));
    const auto out = bytes_below(woods.map_out());
    const auto fuel = figures_of(woods.out());
    woods.make_winter(woods.folder() / "winter.tif", false);
    for (int night = 0; night < 2; ++night) {
        check_refused(woods.run("map"), 6, {"the input check stopped this run"});
        CHECK((bytes_below(woods.map_out()) == out));
        CHECK((figures_of(woods.out()) != fuel)); // delivered, and whole
    }
    must_succeed(woods.run("map", {"--accept"}));
    CHECK((bytes_below(woods.map_out()) != out));
    const double conifers =
        std::stod(read_csv(woods.map_out() / "neighbourhoods.csv").cell(0, "mean_exposure"));
    CHECK(conifers == 0);
}

TEST_CASE("a night that is killed leaves whole sets, old or new, and the next one goes on")
{
    const NightWoods woods;
    must_succeed(woods.run("map"));
    const auto old_fuel = figures_of(woods.out());
    const auto old_out = figures_of(woods.map_out());
    const NightWoods later; // what the second night makes, undisturbed
    later.plant_the_east();
    must_succeed(later.run("map"));
    const auto new_fuel = figures_of(later.out());
    const auto new_out = figures_of(later.map_out());
    woods.plant_the_east();
    int killed = 0;
    for (const auto after : {30ms, 120ms, 250ms, 400ms, 600ms, 900ms}) {
        CAPTURE(after.count());
        RunningProgram night{{"map", woods.config_file().string(), "--accept"}};
        std::this_thread::sleep_for(after);
        killed += night.has_ended() ? 0 : 1;
        night.send(SIGKILL);
        night.wait();
        const auto fuel = figures_of(woods.out());
        const auto out = figures_of(woods.map_out());
        CHECK((fuel == old_fuel || fuel == new_fuel));
        CHECK((out == old_out || out == new_out));
    }
    CHECK(killed >= 2);
    must_succeed(woods.run("map", {"--accept"}));
    CHECK((figures_of(woods.out()) == new_fuel));
    CHECK((figures_of(woods.map_out()) == new_out));
    CHECK(names_in(woods.folder()).find(".new") == std::string::npos);
}
