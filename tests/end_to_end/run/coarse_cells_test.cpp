// SPDX-License-Identifier: Apache-2.0

// Cells that are wider than a ring: a figure is given, and said to be finer than the data.
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

using namespace fuelring::test;
using nlohmann::json;

namespace {

/// The hamlet's ground in squares of `cell` metres.
void map_in_cells_of(Hamlet& hamlet, double cell)
{
    const fs::path fuel = hamlet.folder() / "coarse.tif";
    fs::remove(fuel);
    const auto cells = static_cast<std::int64_t>(300 / cell);
    make_fuel(fuel, {cells,
                     cells,
                     {600000, cell, 0, 5600300, 0, -cell},
                     32611,
                     [&](std::int64_t, std::int64_t col) {
                         return static_cast<double>(col) * cell < 100 ? int{conifer} : int{grass};
                     }});
    hamlet.config("inputs.fuel", "path") = toml_text(fuel);
}

json coarse_warning(const fs::path& run_json)
{
    const json run = json::parse(text_of(run_json));
    for (const json& warning : run.at("warnings"))
        if (warning.at("key") == "coarse_cells")
            return warning;
    return {};
}

} // namespace

TEST_CASE("rings narrower than a cell are named by both commands, in run.json and in the flags")
{
    struct Case {
        double cell_m;
        std::string size;
        std::vector<std::string> rings;
        std::string listed;
    };
    const Case cases[] = {
        {2, "2 x 2 m", {"0_1.5m"}, ": 0_1.5m\n"},
        {10, "10 x 10 m", {"0_1.5m", "1.5_10m"}, ": 0_1.5m, 1.5_10m\n"},
        {30, "30 x 30 m", {"0_1.5m", "1.5_10m", "10_30m"}, ": 0_1.5m, 1.5_10m, 10_30m\n"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.cell_m);
        Hamlet hamlet;
        map_in_cells_of(hamlet, c.cell_m);
        for (const char* command : {"check", "map"}) {
            const ProgramResult run = hamlet.run(command, {"--quiet"});
            CAPTURE(run.err);
            CHECK(run.exit_code == 0);
            CHECK(
                run.said("warning: cells of " + c.size + " are wider than rings of 5 structures"));
            CHECK(run.said("below the data's resolution" + c.listed));
        }
        const json warning = coarse_warning(hamlet.out() / "run.json");
        CHECK(warning.at("count") == 5);
        CHECK((warning.at("examples").get<std::vector<std::string>>() == c.rings));
        const Csv csv = read_csv(hamlet.out() / "addresses.csv");
        for (std::size_t row = 0; row < csv.rows.size(); ++row)
            CHECK(csv.cell(row, "flags").find("coarse_cells") != std::string::npos);
    }
}

TEST_CASE("cells as wide as the innermost ring and no wider are not coarse")
{
    Hamlet hamlet;
    map_in_cells_of(hamlet, 1.5);
    const ProgramResult run = hamlet.run("map");
    CHECK(run.exit_code == 0);
    CHECK_FALSE(run.said("cells of"));
    CHECK(coarse_warning(hamlet.out() / "run.json").is_null());
    CHECK(text_of(hamlet.out() / "addresses.csv").find("coarse_cells") == std::string::npos);
}
