// SPDX-License-Identifier: Apache-2.0

// A run that reuses what an earlier one kept, against a run that computes everything: the same
// bytes, whatever changed in between and whatever became of the state file.
#include "support/make_inputs.hpp"
#include "support/read_outputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <random>

using namespace fuelring::test;
using nlohmann::json;

namespace {

/// Everything of an output folder that has to be the same for the same inputs.
struct Outputs {
    explicit Outputs(const fs::path& out)
        : csv{text_of(out / "addresses.csv")}, neighbourhoods{text_of(out / "neighbourhoods.csv")},
          dump{dump_of(out / "fuelring.gpkg")}, priority{read_band(out / "priority.tif")},
          share{read_band(out / "fuel_used.tif", 1)}, group{read_band(out / "fuel_used.tif", 2)},
          manifest(json::parse(text_of(out / "run.json")))
    {
        reuse = manifest.at("reuse");
        for (const char* of_this_run :
             {"timings", "reuse", "generation", "run_id", "begun_by", "files", "notes", "changes"})
            manifest.erase(of_this_run);
    }
    bool same_as(const Outputs& other) const
    {
        return csv == other.csv && neighbourhoods == other.neighbourhoods && dump == other.dump &&
               priority.same_cells(other.priority) && share.same_cells(other.share) &&
               group.same_cells(other.group) && manifest == other.manifest;
    }
    std::int64_t count(const char* stage, const char* what) const
    {
        return reuse.at(stage).at(what).get<std::int64_t>();
    }
    std::string csv, neighbourhoods, dump;
    Band priority, share, group;
    json manifest, reuse;
};

/// 200 houses in pairs, with room between the pairs, on 3 x 3 blocks of fuel. Inputs may change
/// between runs.
class Countryside {
    TempFolder folder_;

public:
    Countryside() : config{hamlet_config(folder_.path())}
    {
        for (int row = 0; row < 10; ++row)
            for (int col = 0; col < 10; ++col)
                for (const int second : {0, 1}) {
                    const double x = x0 + 60 + 150 * col + 18 * second;
                    const double y = y0 - 60 - 150 * row - 3 * second;
                    houses.push_back({fmt::format("H-{}{}{}", row, col, second),
                                      rectangle_wkt(x, y - 9, x + 12, y)});
                    addresses.push_back({fmt::format("Larch Way {}", houses.size()),
                                         fmt::format("POINT ({} {})", x + 3, y - 3)});
                }
        make_layer(file("areas.gpkg"), "GPKG", "name", 32611,
                   {{"West", rectangle_wkt(x0, y0 - side, x0 + 700, y0)},
                    {"East", rectangle_wkt(x0 + 700, y0 - side, x0 + side, y0)}});
        config("inputs.neighbourhoods", "path") = toml_text(file("areas.gpkg"));
        config("inputs.neighbourhoods", "name") = toml_text("name");
        fs::copy_file(
            fs::path{sample_data().parent_path() / "config/fuel-classes/tamarack_bend.csv"},
            file("classes.csv"));
        config("inputs.fuel", "classes") = toml_text(file("classes.csv"));
        make_fuel(
            file("fuel.tif"),
            {side, side, {x0, 1, 0, y0, 0, -1}, 32611, [](std::int64_t row, std::int64_t col) {
                 const std::int64_t of = row * 31 + col * 17 + row * col;
                 return of % 5 == 0 ? conifer : of % 7 == 0 ? no_data : of % 3 == 0 ? mixed : grass;
             }});
        write_layers();
    }
    ConfigFile config;
    std::vector<Shape> houses, addresses;
    static constexpr double x0 = 600000, y0 = 5601536;
    static constexpr std::int64_t side = 1536;

    fs::path file(const std::string& name) const { return folder_.path() / name; }
    fs::path state() const { return file(".out.state"); }
    void write_layers() const
    {
        for (const char* name : {"structures.gpkg", "addresses.gpkg"})
            fs::remove(file(name));
        make_layer(file("structures.gpkg"), "GPKG", "structure_id", 32611, houses);
        make_layer(file("addresses.gpkg"), "GPKG", "text", 32611, addresses);
    }
    ProgramResult map(const std::string& out = "out",
                      const std::vector<std::string>& more = {}) const
    {
        config.write(file("run.toml"));
        std::vector<std::string> arguments{"map", file("run.toml"), "--out", file(out)};
        arguments.insert(arguments.end(), more.begin(), more.end());
        ProgramResult result = run_fuelring(arguments);
        INFO(result.err);
        REQUIRE(result.exit_code == 0);
        return result;
    }
    Outputs outputs(const std::string& out = "out") const { return Outputs{file(out)}; }
    /// What a run gives that reuses nothing.
    Outputs anew() const
    {
        map("full", {"--full"});
        return outputs("full");
    }
};

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
        const ProgramResult run = country.map("out", {"--jobs", "3"});
        INFO(run.err);
        const Outputs reused = country.outputs();
        CHECK(run.said("reused"));
        CHECK(reused.count("measures", "computed") <= change.measured_again);
        if (change.measured_again < 200)
            CHECK(reused.count("surface_blocks", "reused") >= 5); // of nine
        CHECK(reused.same_as(country.anew()));
    }
}

namespace {

/// With elevation, registration draws, attributes and, where asked for, parcels.
class RichCountryside : public Countryside {
public:
    explicit RichCountryside(bool with_parcels)
    {
        write_heights(0);
        config("inputs.elevation", "path") = toml_text(file("heights.tif"));
        config("uncertainty", "shift_m") = "2";
        config("uncertainty", "draws") = "4";
        write_multiplier("2");
        // A column that makes_layer wrote; every other structure counts as it is.
        config("inputs.structures", "attributes") =
            "[{column = 'structure_id', unknown = 1, multipliers = 'multipliers.csv'}]";
        config("output", "rank_by") = toml_text("exposure_x_susceptibility");
        if (!with_parcels)
            return;
        write_parcels("private");
        config("inputs.parcels", "path") = toml_text(file("parcels.gpkg"));
        config("inputs.parcels", "owner") = toml_text("owner");
    }
    /// A hillside, with a bump of `bump_m` below one pair of houses.
    void write_heights(double bump_m) const
    {
        fs::remove(file("heights.tif"));
        make_elevation(
            file("heights.tif"),
            {160, 160, {x0 - 32, 10, 0, y0 + 32, 0, -10}, 32611, [=](double x, double y) {
                 const bool on_bump = std::hypot(x - x0 - 80, y - y0 + 80) < 30;
                 return 500 + 0.2 * (x - x0) + 0.3 * std::abs(y - y0 + 700) +
                        (on_bump ? bump_m * (x - x0) / 80 : 0);
             }});
    }
    void write_multiplier(const std::string& of_first) const
    {
        write_text(file("multipliers.csv"),
                   "value,label,multiplier,source\nH-000,shingles," + of_first + ",invented\n");
    }
    void write_parcels(const std::string& first_owner) const
    {
        fs::remove(file("parcels.gpkg"));
        std::vector<Shape> parcels;
        for (int k = 0; k < 10; ++k)
            parcels.push_back({k == 0       ? first_owner
                               : k % 3 == 0 ? "crown"
                                            : "private",
                               rectangle_wkt(x0 + 150 * k, y0 - side, x0 + 150 * (k + 1), y0)});
        make_layer(file("parcels.gpkg"), "GPKG", "owner", 32611, parcels);
    }
};

struct RichChange {
    std::string_view why;
    std::function<void(RichCountryside&)> make;
    bool with_parcels;
    std::int64_t measured, sloped, drawn; ///< structures computed again, at most
};

const std::vector<RichChange> rich_changes{
    {"one block of the raster",
     [](RichCountryside& c) {
         for (std::int64_t k = 0; k < 40; ++k)
             set_cell(c.file("fuel.tif"), 60 + k, 65 + k, conifer);
     },
     false, 100, 0, 100},
    {"a footprint moved",
     [](RichCountryside& c) {
         c.houses[0].wkt = rectangle_wkt(c.x0 + 61, c.y0 - 72, c.x0 + 74, c.y0 - 60);
         c.write_layers();
     },
     false, 80, 80, 80},
    {"heights changed", [](RichCountryside& c) { c.write_heights(8); }, false, 80, 200, 80},
    {"a multiplier changed", [](RichCountryside& c) { c.write_multiplier("3"); }, false, 0, 0, 0},
    {"other ranks are first", [](RichCountryside& c) { c.config("uncertainty", "first") = "3"; },
     false, 0, 0, 0},
    {"another shift", [](RichCountryside& c) { c.config("uncertainty", "shift_m") = "2.5"; }, false,
     0, 0, 200},
    {"other factors of rings on slopes",
     [](RichCountryside& c) {
         c.config("terrain", "factors") = "[{slope_deg = 0, down = 1}, {slope_deg = 30, down = 2}]";
     },
     false, 200, 0, 200},
    {"another unit of heights",
     [](RichCountryside& c) { c.config("inputs.elevation", "unit") = toml_text("ft"); }, false, 200,
     200, 200},
    {"one block of the raster, with parcels",
     [](RichCountryside& c) {
         for (std::int64_t k = 0; k < 40; ++k)
             set_cell(c.file("fuel.tif"), 60 + k, 65 + k, conifer);
     },
     true, 100, 0, 100},
    {"a parcel was sold", [](RichCountryside& c) { c.write_parcels("municipal"); }, true, 200, 0,
     200}};

} // namespace

TEST_CASE("slopes, draws, parcels and attributes are reused bit for bit, too")
{
    for (const bool with_parcels : {false, true}) {
        RichCountryside country{with_parcels};
        country.map();
        CHECK(country.outputs().count("slopes", "computed") == 200);
        CHECK(country.outputs().count("draws", "computed") == 200);
        for (const RichChange& change : rich_changes) {
            if (change.with_parcels != with_parcels)
                continue;
            CAPTURE(change.why);
            const Outputs before = country.outputs();
            change.make(country);
            country.map("out", {"--jobs", "3"});
            const Outputs reused = country.outputs();
            CHECK(reused.count("measures", "computed") <= change.measured);
            CHECK(reused.count("slopes", "computed") <= change.sloped);
            CHECK(reused.count("draws", "computed") <= change.drawn);
            CHECK(reused.same_as(country.anew()));
            CHECK_FALSE(reused.same_as(before)); // the control: it was a change
        }
    }
}

TEST_CASE("the comparison sees one result that is not recomputed")
{
    // The control: the outputs of before stand for those of after.
    Countryside country;
    country.map();
    const Outputs before = country.outputs();
    changes.front().make(country);
    CHECK_FALSE(before.same_as(country.anew()));
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

    // What others added since does not make it another run, and stays.
    REQUIRE(run_fuelring({"report", country.file("out"), "--quiet"}).exit_code == 0);
    CHECK(country.map().said("nothing changed since the run of"));
    CHECK(fs::exists(country.file("out/report.html")));

    fs::remove(country.file("out/neighbourhoods.csv")); // then something did
    CHECK_FALSE(country.map().said("nothing changed"));
    CHECK(country.outputs().manifest.contains("counts"));
    CHECK(json::parse(text_of(country.file("out/run.json"))).at("generation") == 3);
    write_text(country.file("fuel.tfw"), "1\n0\n0\n-1\n600000.5\n5601535.5\n"); // beside an input
    CHECK_FALSE(country.map().said("nothing changed"));
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
    const Outputs anew = country.anew();
    const auto run_with = [&](const std::string& bytes) {
        write_text(country.state(), bytes);
        country.map();
        const Outputs outputs = country.outputs();
        CHECK(outputs.same_as(anew));
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
    CHECK(country.outputs().same_as(anew));

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
