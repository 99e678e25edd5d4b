// SPDX-License-Identifier: Apache-2.0

// What the commands say and where: people read standard error, programs standard output.
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <set>
#include <sstream>

using namespace fuelring::test;
using nlohmann::json;

namespace {

std::vector<std::string> lines_of(const std::string& text)
{
    std::vector<std::string> lines;
    std::istringstream stream{text};
    for (std::string line; std::getline(stream, line);)
        lines.push_back(line);
    return lines;
}

} // namespace

TEST_CASE(
    "without --json nothing goes to standard output, what a person reads is on standard error")
{
    const Hamlet hamlet;
    const ProgramResult run = hamlet.run("map");
    CHECK(run.exit_code == 0);
    CHECK(run.out.empty());
    CHECK(run.said("5 structures"));
    CHECK(run.said("1 of 4 structures have conifers within 10 m (1 more is unmapped there)"));
    CHECK(run.said("low figure does not mean a home is safe"));
    CHECK(run.errors().empty());
}

TEST_CASE("--json puts one document on standard output whose counts are the table's")
{
    const Hamlet hamlet;
    const ProgramResult run = hamlet.run("map", {"--json"});
    REQUIRE(run.exit_code == 0);
    const json summary = json::parse(run.out); // throws if anything stands before or behind it
    const Csv csv = read_csv(hamlet.out() / "addresses.csv");
    std::set<std::string> structures;
    std::set<std::string> with_exposure;
    std::set<std::string> near;
    for (std::size_t row = 0; row < csv.rows.size(); ++row) {
        const std::string& id = csv.cell(row, "structure_id");
        structures.insert(id);
        if (!csv.cell(row, "exposure").empty())
            with_exposure.insert(id);
        if (const std::string& d = csv.cell(row, "nearest_conifer_m");
            !d.empty() && std::stod(d) <= 10)
            near.insert(id);
    }
    const json& counts = summary.at("counts");
    CHECK(counts.at("address_rows") == csv.rows.size());
    CHECK(counts.at("structures") == structures.size());
    CHECK(counts.at("structures_measured") == with_exposure.size());
    CHECK(counts.at("structures_conifer_within_10m") == near.size());
    CHECK(counts.at("addresses") == 5);
    const double sum = summary.at("totals").at("sum_exposure_points").get<double>();
    CHECK(std::abs(sum - sql_number(hamlet.out() / "fuelring.gpkg",
                                    "select sum(exposure) from structures")) < 1e-12 * sum);
    CHECK(summary.at("schema_version") == 3);
    CHECK(summary.at("command") == "map");
}

TEST_CASE("--quiet leaves only warnings and errors")
{
    const Hamlet hamlet;
    const ProgramResult run = hamlet.run("map", {"--quiet"});
    CHECK(run.exit_code == 0);
    CHECK(run.out.empty());
    const auto lines = lines_of(run.err);
    CHECK(lines.size() == 2); // the stray address and the house off the raster
    for (const std::string& line : lines)
        CHECK(line.starts_with("fuelring: warning: "));
}

TEST_CASE("--verbose tells what was read and how, as --log json does and a normal run does not")
{
    const Hamlet hamlet;
    const auto told = [&hamlet](const std::vector<std::string>& style) {
        std::vector<std::string> arguments{"--full"};
        arguments.insert(arguments.end(), style.begin(), style.end());
        const ProgramResult run = hamlet.run("map", arguments);
        CHECK(run.exit_code == 0);
        return run.said("analysis in ") && run.said("reused 0 of 5 measures") &&
               run.said("MiB of memory");
    };
    CHECK(told({"--verbose"}));
    CHECK(told({"--log", "json"}));
    CHECK_FALSE(told({}));
    CHECK_FALSE(hamlet.run("map", {"--full"}).said("analysis in "));
    CHECK(hamlet.run("map", {"--quiet", "--verbose"}).exit_code == 2);
}

TEST_CASE("--log json makes every line on standard error a document of its own")
{
    Hamlet hamlet;
    std::set<std::string> levels;
    for (const char* codes : {"'error'", "'unmapped'", "'neither'"}) {
        hamlet.config("inputs.fuel", "unknown_codes") = codes;
        const ProgramResult run = hamlet.run("map", {"--log", "json"});
        CHECK(run.out.empty());
        for (const std::string& line : lines_of(run.err)) {
            CAPTURE(line);
            const json object = json::parse(line);
            levels.insert(object.at("level").get<std::string>());
            CHECK(object.at("text").is_string());
            CHECK(object.at("time").get<std::string>().size() == 20); // 2000-01-01T00:00:00Z
        }
    }
    CHECK(levels == std::set<std::string>{"error", "info", "warning"});
}

TEST_CASE("--help and --version work everywhere")
{
    const std::vector<std::vector<std::string>> helps = {
        {"--help"}, {"map", "--help"}, {"check", "--help"}};
    for (const auto& arguments : helps) {
        const ProgramResult help = run_fuelring(arguments);
        CHECK(help.exit_code == 0);
        CHECK(help.err.empty());
        CHECK(help.out.find("Usage: ") != std::string::npos);
    }
    const ProgramResult version = run_fuelring({"--version"});
    CHECK(version.exit_code == 0);
    CHECK(version.err.empty());
    for (const char* name : {"fuelring ", "GDAL 3.", "PROJ ", "GEOS 3."})
        CHECK(version.out.find(name) != std::string::npos);
}

TEST_CASE("check writes nothing and its class shares sum to the whole")
{
    const Hamlet hamlet;
    hamlet.config.write(hamlet.config_file());
    const auto before = bytes_below(hamlet.folder());
    const ProgramResult check = hamlet.run("check", {"--json"});
    REQUIRE(check.exit_code == 0);
    CHECK((bytes_below(hamlet.folder()) == before));
    CHECK_FALSE(fs::exists(hamlet.folder() / ".out.lock"));

    const json report = json::parse(check.out);
    CHECK(report.at("structures") == 5);
    double percent = 0;
    std::int64_t cells = 0;
    std::set<std::string> labels;
    for (const json& share : report.at("fuel_classes_around_structures")) {
        percent += share.at("percent").get<double>();
        cells += share.at("cells").get<std::int64_t>();
        labels.insert(share.at("label").get<std::string>());
    }
    CHECK(std::abs(percent - 100) < 1e-9);
    // Of the nine squares of 128 cells (44 at the end) no house reaches the south-eastern one.
    CHECK(cells == hamlet_cells * hamlet_cells - 44 * 44);
    CHECK(labels ==
          std::set<std::string>{"conifer stand", "lawn or grass", "mixed stand", "no data"});

    const ProgramResult plain = hamlet.run("check");
    CHECK(plain.exit_code == 0);
    CHECK(plain.out.empty());
    double printed = 0;
    for (const std::string& line : lines_of(plain.err))
        if (const auto at = line.find("%  "); at != line.npos)
            printed += std::stod(line.substr(line.find(':') + 1, at));
    CHECK(std::abs(printed - 100) < 0.25); // four lines, each rounded to a tenth
}

TEST_CASE("check refuses what map would refuse")
{
    Hamlet hamlet;
    hamlet.config("inputs.fuel", "path") = toml_text(hamlet.folder() / "no.tif");
    CHECK(hamlet.run("check").exit_code == 3);
    hamlet.config("inputs.fuel", "pth") = "true";
    CHECK(hamlet.run("check").exit_code == 2);
}

TEST_CASE("run.memory_mb is kept to, changes no figure, and is refused where it cannot be kept")
{
    const Hamlet hamlet;
    REQUIRE(hamlet.run("map", {"--jobs", "6"}).exit_code == 0);
    const std::string table = text_of(hamlet.out() / "addresses.csv");

    Hamlet tight;
    tight.config("run", "memory_mb") = "64";
    const ProgramResult refused = tight.run("map", {"--jobs", "6"});
    CHECK(refused.exit_code == 2);
    CHECK(refused.said("run.memory_mb"));
    const std::string& text = refused.err;
    const std::size_t at = text.find("cells take ");
    REQUIRE(at != std::string::npos);
    const int least = std::stoi(text.substr(at + 11));

    Hamlet bounded;
    bounded.config("run", "memory_mb") = std::to_string(least);
    const ProgramResult run = bounded.run("map", {"--jobs", "6", "--verbose"});
    CHECK(run.exit_code == 0);
    CHECK(run.said("1 workers"));
    CHECK(text_of(bounded.out() / "addresses.csv") == table);
    const json timings = json::parse(text_of(bounded.out() / "run.json")).at("timings");
    CHECK(timings.at("jobs") == 1);
    CHECK(timings.at("planned_memory_mb") <= least);
#if !defined(PROGRAM_IS_SANITIZED) // they take memory of their own
    CHECK(timings.at("peak_memory_mib").get<double>() * 1.048576 <= least);
#endif
}

TEST_CASE("map closes with the first neighbourhoods, what is left out, and where the outputs are")
{
    const TempFolder folder;
    sample_config(sample_data()).write(folder.path() / "run.toml");
    const ProgramResult run = run_fuelring({"map", folder.path() / "run.toml"});
    REQUIRE(run.exit_code == 0);
    CHECK(run.out.empty());
    const Csv areas = read_csv(folder.path() / "out" / "neighbourhoods.csv");
    const std::vector<std::string> lines = lines_of(run.err);
    const auto heading = std::find_if(lines.begin(), lines.end(), [](const std::string& line) {
        return line.rfind("fuelring: rank neighbourhood", 0) == 0;
    });
    REQUIRE(lines.end() - heading > 9);
    CHECK(std::all_of(lines.begin(), heading, [](const std::string& line) {
        return line.rfind("fuelring: warning: ", 0) == 0; // and nothing of what was read
    }));
    for (std::size_t row = 0; row < 5; ++row) {
        const std::string& line = heading[static_cast<std::ptrdiff_t>(row) + 1];
        CAPTURE(line);
        CHECK(line.size() <= 80); // columns: the names are plain
        std::istringstream words{line};
        std::string program, rank;
        words >> program >> rank;
        CHECK(rank == areas.cell(row, "rank"));
        CHECK(line.find(areas.cell(row, "neighbourhood")) != std::string::npos);
        CHECK(std::abs(std::stod(line.substr(line.rfind(' '))) -
                       std::stod(areas.cell(row, "mean_exposure"))) <= 0.0501);
    }
    CHECK(heading[6] == "fuelring: left out: 38 small structures, 2 addresses without a structure");
    CHECK(run.said("1 outline crosses itself and was repaired (even-odd): TB-0390\n"));
    CHECK(lines.back().rfind("fuelring: outputs in ", 0) == 0);
}
