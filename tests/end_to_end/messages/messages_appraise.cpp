// SPDX-License-Identifier: Apache-2.0

// Every message of the manual's table for `fuelring appraise`, provoked through the program.
#include "end_to_end/appraise_runs.hpp"
#include "end_to_end/messages.hpp"

#include <algorithm>
#include <set>

using namespace fuelring::test;

TEST_CASE("each wrong layer of projects gives its message and leaves the run as it was")
{
    const Plot plot;
    must_succeed(plot.run("map", "out"));
    struct WrongProjects {
        std::string message;
        std::vector<Drawn> projects;
    };
    const auto drawn = [](const std::string& name, double leaves, const std::string& more = {}) {
        return Drawn{name, leaves, 20, 20, 60, 60, more};
    };
    const std::vector<WrongProjects> wrong{
        {"the layer has no project polygons", {}},
        {"leaves '…' is no share from 0 to 1", {drawn("a", 1.5)}},
        {"leaves '…' is no share from 0 to 1", {drawn("a", -0.1)}},
        {"the cost '…' is not an amount of money", {drawn("a", 0, R"(,"cost":-3)")}},
        {"the cost '…' is not an amount of money", {drawn("a", 0, R"(,"cost":"12 000")")}},
        {"the cost per hectare '…' is not an amount of money",
         {drawn("a", 0, R"(,"cost_per_ha":1e300)")}},
        {"both cost and cost_per_ha are given", {drawn("a", 0, R"(,"cost":3,"cost_per_ha":4)")}},
        {"'…' is a row of projects.csv", {drawn("(all)", 0)}}};
    std::set<std::string> provoked;
    const std::vector<MessageRow> rows = messages_of_manual("## Messages of appraise");
    const auto before = bytes_below(plot.path("out"));
    for (const WrongProjects& w : wrong) {
        CAPTURE(w.message);
        provoked.insert(w.message);
        const auto row = std::find_if(rows.begin(), rows.end(),
                                      [&](const MessageRow& r) { return r.message == w.message; });
        REQUIRE(row != rows.end());
        write_projects(plot.path("wrong.geojson"), w.projects);
        check_refused(
            plot.run("appraise", "out", {"--projects", plot.path("wrong.geojson").string()}),
            row->exit_code, row->words());
        CHECK((bytes_below(plot.path("out")) == before));
    }
    CHECK(provoked.size() == rows.size());

    // All that is wrong is told at once.
    write_projects(plot.path("wrong.geojson"), {drawn("a", 2), drawn("b", 3), drawn("c", 0)});
    const ProgramResult both =
        plot.run("appraise", "out", {"--projects", plot.path("wrong.geojson").string()});
    CHECK(both.exit_code == 3);
    CHECK(both.errors().size() == 2);
}
