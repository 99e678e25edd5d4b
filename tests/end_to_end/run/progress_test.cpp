// SPDX-License-Identifier: Apache-2.0

// What a command says on a terminal while it works.
#include "end_to_end/report_runs.hpp"
#include "support/run_on_terminal.hpp"

#include <doctest/doctest.h>

#include <algorithm>

using namespace fuelring::test;

TEST_CASE("on a terminal percentages never fall, and 100 % is said when the outputs are in place")
{
    const TempFolder folder;
    ConfigFile config = sample_config(sample_data());
    config("treat", "budget") = "{ hectares = 1.5 }";
    config("run", "also") = "['treat', 'report']";
    config("output", "dir") = toml_text(folder.path() / "out");
    config.write(folder.path() / "run.toml");
    const fs::path out = folder.path() / "out";
    const std::string file = folder.path() / "run.toml";
    const std::string fresh = folder.path() / "fresh";
    struct Case {
        std::string_view why;
        std::vector<std::string> words;
        fs::path folder;
        std::string says; ///< some phase that takes longer than a line takes to come
    };
    const Case cases[] = {
        {"a run with plan and report", {"map", file}, out, ""},
        {"a plan that maps first", {"treat", file, "--out", fresh}, fresh, ""},
        {"sheets", {"report", out, "--sheets", "all"}, out, " sheets, "},
        {"a shard", {"map", file, "--shard", "1/2", "--out", folder.path() / "parts"}, "", ""},
        {"a comparison",
         {"change", out, fresh, "--out", folder.path() / "change"},
         folder.path() / "change",
         ""},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const TerminalRun run = run_on_terminal(c.words, c.folder / "run.json");
        CHECK(run.exit_code == 0);
        const std::vector<int> told = run.percents();
        REQUIRE_FALSE(told.empty());
        CHECK(std::is_sorted(told.begin(), told.end()));
        CHECK(told.back() == 100);
        CHECK(std::count(told.begin(), told.end(), 100) == 1);
        CHECK((run.in_place || c.folder.empty()));
        CHECK(run.said(c.says));
        for (const std::string& line : run.lines)
            if (line.find("% ") != line.npos && line.find(" to go") != line.npos)
                CHECK(line.size() < 100); // a row of the terminal
    }
}

TEST_CASE("a run whose outputs cannot be written never says 100 %")
{
    const Hamlet hamlet;
    hamlet.config.write(hamlet.config_file());
    constexpr rlim_t too_few_bytes = 20'000;
    const TerminalRun run =
        run_on_terminal({"map", hamlet.config_file()}, hamlet.out() / "run.json", too_few_bytes);
    CHECK(run.exit_code == 4);
    const std::vector<int> told = run.percents();
    CHECK(std::count(told.begin(), told.end(), 100) == 0);
    CHECK_FALSE(fs::exists(hamlet.out()));
}
