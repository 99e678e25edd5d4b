// SPDX-License-Identifier: Apache-2.0

// Runs whose rasters stand in different systems, or are turned against each other.
#include "end_to_end/strips.hpp"
#include "support/change_runs.hpp"

#include <nlohmann/json.hpp>

#include <cmath>

using namespace fuelring::test;

namespace {

int grass_anywhere(double, double)
{
    return grass;
}

/// A run of its own raster; structures stand in UTM 11N whatever the raster's system.
void map_raster(const ChangeRuns& runs, const std::string& name, const FuelFile& raster,
                const std::vector<Shape>& structures)
{
    const fs::path inputs = runs.path(name + "_inputs");
    fs::create_directory(inputs);
    make_fuel(inputs / "fuel.tif", raster);
    make_layer(inputs / "structures.gpkg", "GPKG", "structure_id", 32611, structures);
    ConfigFile config = hamlet_config(inputs);
    config.tables.erase("inputs.addresses");
    runs.map(name, config);
}

std::string status_in(const fs::path& out, const std::string& id)
{
    return sql(out / "change.gpkg",
               fmt::format("select status from change_structures where structure_id = '{}'", id))
        .front()[0]
        .text.value();
}

} // namespace

TEST_CASE("runs in two systems are matched by id and ground, and uniform fuel gives closed forms")
{
    const ChangeRuns runs;
    // The place of the scene in UTM 12N, from PROJ: 174932.257, 5609109.147.
    map_raster(runs, "zone 12",
               {700,
                700,
                {174932.257 - 350, 1, 0, 5609109.147 + 350, 0, -1},
                32612,
                [](std::int64_t, std::int64_t) { return int{conifer}; }},
               {square_house("kept", 0, 0, house_m), square_house("old id", 40, 0),
                square_house("gone", 0, 70)});
    runs.map("zone 11", {{square_house("kept", 0, 0, house_m), square_house("new id", 40, 0),
                          square_house("built", 0, -70)},
                         grass_anywhere});
    const ProgramResult run = must_succeed(runs.change("zone 12", "zone 11", "out"));
    CHECK(run.err.find("the runs have different coordinate systems") != std::string::npos);
    const fs::path out = runs.path("out");
    CHECK(status_in(out, "kept") == "same");
    CHECK(status_in(out, "new id") == "renamed");
    CHECK(status_in(out, "gone") == "removed");
    CHECK(status_in(out, "built") == "added");
    const auto square_metres = [&](const char* what, const char* ring) {
        return sql_number(out / "change.gpkg",
                          fmt::format("select \"{}_{}\" from change_structures where "
                                      "structure_id = 'kept'",
                                      what, ring));
    };
    for (std::size_t k = 0; k < rings.size(); ++k) {
        const double removed = square_metres("removed_m2", rings[k]);
        const double not_compared = square_metres("not_compared_m2", rings[k]);
        CHECK(removed + not_compared == doctest::Approx(ring_m2(k)).epsilon(1e-9));
        // Either grid's metres may be off by 0.1 %: BEFORE may have stopped so much short.
        CHECK(not_compared <= (k == 3 ? 0.1 * (4 * house_m + 2 * 3.1416 * 100) : 1e-6));
    }
    const std::string text = text_of(out / "run.json");
    CHECK(text.find("reprojected corner by corner") != std::string::npos);
    const auto before = nlohmann::json::parse(text).at("systems").at("BEFORE");
    CHECK(before.at("operation") == "Inverse of UTM zone 12N + UTM zone 11N");
    CHECK(before.at("accuracy_m") == 0);
}

TEST_CASE("a run in a system that cannot be placed well enough is compared only where accepted")
{
    // NAD27 lies 216 m to the south here and 77 m to the east; PROJ states 8 m without its grids.
    const ChangeRuns runs;
    const fs::path inputs = runs.path("inputs");
    fs::create_directory(inputs);
    make_fuel(inputs / "fuel.tif", {800,
                                    800,
                                    {scene_x - 400, 1, 0, scene_y + 200, 0, -1},
                                    26711,
                                    [](std::int64_t, std::int64_t) { return int{conifer}; }});
    make_layer(inputs / "structures.gpkg", "GPKG", "structure_id", 32611,
               {square_house("H", 0, 0, house_m)});
    ConfigFile config = hamlet_config(inputs);
    config.tables.erase("inputs.addresses");
    config("inputs", "reprojected_within_m") = "8";
    runs.map("nad27", config);
    runs.map("wgs84", {{square_house("H", 0, 0, house_m)}, grass_anywhere});
    const ProgramResult refused = runs.change("nad27", "wgs84", "out");
    INFO(refused.err);
    CHECK(refused.exit_code == 3);
    CHECK(refused.err.find("BEFORE: places come into the raster's system within 8 m only, by ") !=
          std::string::npos);
    CHECK(refused.err.find("--reprojected-within = 8") != std::string::npos);
    const ProgramResult accepted =
        must_succeed(runs.change("nad27", "wgs84", "out", {"--reprojected-within", "8"}));
    CHECK(accepted.err.find("would come more accurately") != std::string::npos);
    const auto systems = nlohmann::json::parse(text_of(runs.path("out") / "run.json"))["systems"];
    CHECK(systems["BEFORE"]["accuracy_m"] == 8);
}

TEST_CASE("cells that are turned against each other are compared by the parts they share")
{
    const ChangeRuns runs;
    const std::vector<Shape> house{square_house("H", 0, 0, house_m)};
    // Rows that run up by 3 in 4: a strip of 20 m whose edges are lines of these cells.
    map_raster(runs, "turned",
               {400,
                400,
                {scene_x - 240, 0.8, 0.6, scene_y + 40, 0.6, -0.8},
                32611,
                [](std::int64_t, std::int64_t col) {
                    return col >= 180 && col < 200 ? int{conifer} : int{grass};
                }},
               house);
    runs.map("straight", {house, grass_anywhere});
    const fs::path removed = runs.changed("turned", "straight", "forth");
    // On the turned grid both fuels are constant in every cell: this way round it is exact.
    const fs::path regrown = runs.changed("straight", "turned", "back");
    for (const char* distance : {"within_10m", "within_30m", "within_100m"}) {
        CAPTURE(distance);
        const double m2 = change_ha(regrown, "regrown_ha", distance) * 1e4;
        // An edge of the strip crosses an outline four times; the part of a cell there, and its
        // neighbours where both run nearly alike, are 1/16 m2 each.
        CHECK(std::abs(change_ha(removed, "removed_ha", distance) * 1e4 - m2) < 1);
        CHECK(change_ha(removed, "ground_ha", distance) ==
              doctest::Approx(change_ha(regrown, "ground_ha", distance)).epsilon(1e-9));
    }
    CHECK(change_ha(regrown, "regrown_ha", "within_100m") * 1e4 > 3000);
}
