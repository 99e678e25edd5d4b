// SPDX-License-Identifier: Apache-2.0

// Exit codes 7, 130 and 143: stopped by the clock or by a signal in the middle of the work.
#include "end_to_end/refusal.hpp"
#include "end_to_end/report_runs.hpp"
#include "io/gdal/handles.hpp"

#include <cpl_error.h>
#include <fmt/format.h>

#include <csignal>
#include <thread>

using namespace fuelring::test;
using namespace std::chrono_literals;

namespace {

constexpr int rows_of_houses = 150;
constexpr double spacing_m = 26;
constexpr std::int64_t cells = 4100;

/// A town that takes several seconds to map: 22,500 houses among conifers.
void make_town(const fs::path& folder)
{
    make_fuel(folder / "fuel.tif", {cells,
                                    cells,
                                    {600000, 1, 0, 5604100, 0, -1},
                                    32611,
                                    [](std::int64_t row, std::int64_t col) {
                                        return (row * 7 + col * 3) % 11 == 0 ? int{grass}
                                                                             : int{conifer};
                                    }});
    std::vector<Shape> houses;
    for (int i = 0; i < rows_of_houses; ++i)
        for (int k = 0; k < rows_of_houses; ++k) {
            const double x = 600100 + spacing_m * i;
            const double y = 5600100 + spacing_m * k;
            houses.push_back({fmt::format("{}-{}", i, k), rectangle_wkt(x, y, x + 10.5, y + 9.25)});
        }
    make_layer(folder / "structures.gpkg", "GPKG", "structure_id", 32611, houses);
}

/// A layer of a GeoPackage that looks for its first feature without end.
void add_endless_view(const fs::path& geopackage)
{
    GDALAllRegister();
    const fuelring::DatasetPtr file{
        GDALOpenEx(geopackage.c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE, nullptr, nullptr, nullptr)};
    REQUIRE(file);
    for (const char* sql :
         {"CREATE VIEW endless AS SELECT s.fid AS OGC_FID, s.geom, s.structure_id FROM structures "
          "s "
          "WHERE (WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) "
          "SELECT i FROM n WHERE i < 0) > s.fid",
          "INSERT INTO gpkg_contents (table_name, identifier, data_type, srs_id) "
          "SELECT 'endless', 'endless', 'features', srs_id FROM gpkg_contents "
          "WHERE table_name = 'structures'",
          "INSERT INTO gpkg_geometry_columns SELECT 'endless', column_name, geometry_type_name, "
          "srs_id, z, m FROM gpkg_geometry_columns WHERE table_name = 'structures'"}) {
        CPLErrorReset();
        if (OGRLayerH rows = GDALDatasetExecuteSQL(file.get(), sql, nullptr, nullptr))
            GDALDatasetReleaseResultSet(file.get(), rows);
        REQUIRE(CPLGetLastErrorType() < CE_Failure);
    }
}

/// Waits until the run has begun to work: its staging folder stands beside `out`.
void wait_for_staging(const fs::path& folder)
{
    for (int tries = 0; tries < 10'000; ++tries) {
        if (names_in(folder).find(".new.") != std::string::npos)
            return;
        std::this_thread::sleep_for(1ms);
    }
    FAIL("the run never began");
}

/// How long a command works between the first file beside its outputs and its end.
std::chrono::duration<double> time_of_work(const std::vector<std::string>& command,
                                           const fs::path& folder)
{
    RunningProgram program{command};
    wait_for_staging(folder);
    const auto begun = std::chrono::steady_clock::now();
    REQUIRE(program.wait(60s).exit_code == 0);
    return std::chrono::steady_clock::now() - begun;
}

} // namespace

TEST_CASE("a signal ends a run within seconds, and outputs are as they were or not there at all")
{
    const TempFolder folder;
    make_town(folder.path());
    ConfigFile config = hamlet_config(folder.path());
    config.tables.erase("inputs.addresses");
    config.write(folder.path() / "run.toml");
    const fs::path out = folder.path() / "out";
    struct Case {
        std::string why;
        int signal, exit_code;
        bool earlier_outputs;
        std::chrono::milliseconds after;
    };
    const Case cases[] = {
        {"while inputs are read", SIGINT, 130, false, 0ms},
        {"in the middle, first run", SIGTERM, 143, false, 500ms},
        {"in the middle, over earlier outputs", SIGINT, 130, true, 500ms},
        {"later, over earlier outputs", SIGTERM, 143, true, 900ms},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        fs::remove_all(out);
        if (c.earlier_outputs) {
            Hamlet hamlet;
            REQUIRE(hamlet.run("map", {"--out", out}).exit_code == 0);
        }
        const auto before = bytes_below(out);
        RunningProgram run{{"map", folder.path() / "run.toml", "--jobs", "1"}};
        wait_for_staging(folder.path());
        std::this_thread::sleep_for(c.after);
        REQUIRE_FALSE(run.has_ended()); // else the town is too small for this machine
        run.send(c.signal);
        const auto sent = std::chrono::steady_clock::now();
        const ProgramResult result = run.wait(60s);
        CHECK(std::chrono::steady_clock::now() - sent < 5s);
        check_refused(result, c.exit_code, {"stopped by a signal"});
        CHECK((bytes_below(out) == before));
        CHECK(fs::exists(out) == c.earlier_outputs);
        CHECK(names_in(folder.path()).find(".new.") == std::string::npos);
    }
}

TEST_CASE("a run ends itself after run.minutes, and outputs are as they were or not there at all")
{
    const TempFolder folder;
    make_town(folder.path());
    ConfigFile config = hamlet_config(folder.path());
    config.tables.erase("inputs.addresses");
    config("run", "minutes") = "0.01"; // rounded up to a second
    config.write(folder.path() / "run.toml");
    const fs::path out = folder.path() / "out";
    for (const bool earlier_outputs : {false, true}) {
        CAPTURE(earlier_outputs);
        if (earlier_outputs) {
            Hamlet hamlet;
            REQUIRE(hamlet.run("map", {"--out", out}).exit_code == 0);
        }
        const auto before = bytes_below(out);
        const ProgramResult run =
            run_fuelring({"map", folder.path() / "run.toml", "--jobs", "1", "--accept"});
        CHECK(run.seconds < 6);
        check_refused(run, 7, {"the time that run.minutes gives is over", "run.minutes more"});
        CHECK((bytes_below(out) == before));
        CHECK(fs::exists(out) == earlier_outputs);
        CHECK(names_in(folder.path()).find(".new.") == std::string::npos);
    }
}

TEST_CASE("run.minutes ends a run that computes a view without end, and the next one goes on")
{
    MappedHamlet hamlet;
    const fs::path houses = hamlet.folder() / "endless.gpkg";
    fs::copy_file(hamlet.folder() / "structures.gpkg", houses);
    add_endless_view(houses);
    const ConfigFile right = hamlet.config;
    hamlet.config("inputs.structures", "path") = toml_text(houses);
    hamlet.config("inputs.structures", "layer") = toml_text("endless");
    hamlet.config("run", "minutes") = "0.01";
    const auto before = bytes_below(hamlet.out());
    for (const char* command : {"check", "map"}) {
        CAPTURE(command);
        const ProgramResult run = hamlet.run(command);
        CHECK(run.seconds > 4); // the patience with the work in hand
        CHECK(run.seconds < 8);
        check_refused(run, 7, {"the time that run.minutes gives is over, before the work in hand"});
        CHECK((bytes_below(hamlet.out()) == before));
    }
    hamlet.config = right;
    hamlet.config("run", "minutes") = "10";
    CHECK(hamlet.run("map", {"--full"}).exit_code == 0);
    CHECK(names_in(hamlet.folder()).find(".new.") == std::string::npos);
}

TEST_CASE("a plan or a report that is stopped leaves the run as it was")
{
    const SampleRun sample;
    const std::string run = sample.run();
    const fs::path folder = sample.run().parent_path();
    const std::vector<std::string> treat{"treat", sample.beside("run.toml"), "--out", run};
    const std::vector<std::string> report{"report", run, "--sheets", "all"};
    for (const auto& command : {treat, report}) {
        const auto whole = time_of_work(command, folder);
        const auto before = bytes_below(run);
        for (const double part : {0.1, 0.5}) {
            CAPTURE(command.front());
            CAPTURE(part);
            RunningProgram program{command};
            wait_for_staging(folder);
            std::this_thread::sleep_for(part * whole);
            REQUIRE_FALSE(program.has_ended()); // else this machine has become twice as fast
            program.send(SIGTERM);
            const auto sent = std::chrono::steady_clock::now();
            const ProgramResult result = program.wait(60s);
            CHECK(std::chrono::steady_clock::now() - sent < 5s);
            check_refused(result, 143, {"stopped by a signal"});
            CHECK((bytes_below(run) == before));
            CHECK(names_in(folder).find(".new.") == std::string::npos);
        }
    }
    sample.report(); // and nothing stands in the way of the next
}
