// SPDX-License-Identifier: Apache-2.0

// Exit code 2: the command line and the configuration.
#include "end_to_end/refusal.hpp"

#include <nlohmann/json.hpp>

using namespace fuelring::test;

TEST_CASE("a command line that makes no sense is refused with exit code 2")
{
    const MappedHamlet hamlet;
    const std::string config = hamlet.config_file();
    struct Case {
        std::string why;
        std::vector<std::string> arguments, words;
    };
    const Case cases[] = {
        {"unknown option", {"map", config, "--oot", "x"}, {"--oot", "--help"}},
        {"no configuration", {"map"}, {"config"}},
        {"no command", {}, {"command is required", "--help"}},
        {"unknown command", {"mapp", config}, {"mapp"}},
        {"jobs are counted", {"map", config, "--jobs", "-1"}, {"--jobs"}},
        {"jobs are a number", {"map", config, "--jobs", "many"}, {"--jobs"}},
        {"unknown style of lines", {"map", config, "--log", "xml"}, {"--log"}},
        {"no such file", {"map", hamlet.folder() / "absent.toml"}, {"absent.toml", "No such file"}},
        {"a folder is not a configuration", {"map", hamlet.folder()}, {hamlet.folder(), "folder"}},
    };
    const auto before = bytes_below(hamlet.out());
    for (const Case& c : cases) {
        CAPTURE(c.why);
        check_refused(run_fuelring(c.arguments), 2, c.words);
    }
    CHECK((bytes_below(hamlet.out()) == before));
}

TEST_CASE("who reads structured lines gets one for every failure, also of the command line itself")
{
    const Hamlet hamlet;
    const std::string config = hamlet.config_file();
    write_text(config, "[comunity]\nname = 'x'\n"); // one fault
    const std::vector<std::vector<std::string>> lines{
        {"map", config, "--jobs", "foo", "--log", "json"},
        {"map", config, "--log=json", "--oot", "x"},
        {"mapp", "--log", "json"},
        {"--log", "json"},
        {"map", config, "--log", "json"}, // the configuration
        {"map", "absent.toml", "--log", "json"}};
    for (const auto& arguments : lines) {
        const ProgramResult run = run_fuelring(arguments);
        CAPTURE(run.err);
        CHECK(run.exit_code == 2);
        const nlohmann::json line = nlohmann::json::parse(run.err); // one, and nothing else
        CHECK(line.at("level") == "error");
        CHECK_FALSE(line.at("text").get<std::string>().empty());
    }
    CHECK(run_fuelring({"map", config, "--jobs", "foo", "--log", "xml"}).errors().size() == 1);
}

TEST_CASE("what GDAL heeds of the environment is told, and no secret is")
{
    Hamlet hamlet;
    const std::vector<std::string> set{"env", "GDAL_NUM_THREADS=1", "AWS_SESSION_TOKEN=hunter2",
                                       "GDAL_PAM_ENABLED=YES", "PGPASSWORD=hunter2"};
    const ProgramResult run = must_succeed(hamlet.run("map", {"--verbose"}, set));
    CHECK(run.said("AWS_SESSION_TOKEN=***"));
    CHECK(run.said("GDAL_NUM_THREADS=1"));
    CHECK_FALSE(run.said("GDAL_PAM_ENABLED")); // it is not heeded
    const std::string manifest = text_of(hamlet.out() / "run.json");
    CHECK(manifest.find("GDAL_NUM_THREADS=1") != std::string::npos);
    CHECK((run.err + manifest).find("hunter2") == std::string::npos);
    CHECK_FALSE(hamlet.run("map").said("nothing changed")); // another environment, another run

    hamlet.config("inputs.structures", "path") =
        toml_text("PG:host=/nowhere user=planner password=hunter2 dbname=tamarack");
    for (const char* remote : {"false", "true"}) {
        hamlet.config("run", "remote_inputs") = remote;
        const ProgramResult refused = hamlet.run("map", {"--json"});
        CAPTURE(refused.err);
        CHECK(refused.exit_code == 3);
        CHECK(refused.said("PG:host=/nowhere user=planner password=*** dbname=tamarack"));
        CHECK_FALSE(refused.said("hunter2"));
    }
}

TEST_CASE("a key that is misspelt or holds the wrong thing is named with its line and the remedy")
{
    struct Case {
        std::string table, key, value;
        std::vector<std::string> words;
    };
    const Case cases[] = {
        {"inputs.structures",
         "min_area_m",
         "15",
         {"inputs.structures.min_area_m", "did you mean inputs.structures.min_area_m2?"}},
        {"rings", "outer", "[1, 2]", {"rings.outer", "did you mean rings.outer_m?"}},
        {"ring", "outer_m", "[1, 2]", {"ring", "did you mean rings?"}},
        {"rings", "outer_m", "[10, 1.5, 30, 100]", {"rings.outer_m", "1.5 does not rise above 10"}},
        {"rings", "weight", "[1, 1, -1, 1]", {"rings.weight", "-1 is negative"}},
        {"rings", "near_m", "11", {"rings.near_m", "1.5, 10, 30, 100"}},
        {"inputs.fuel", "band", "'one'", {"inputs.fuel.band", "text where a whole number"}},
        {"inputs.fuel", "path", "7", {"inputs.fuel.path", "a whole number where text"}},
        {"output", "dir", "'.'", {"output.dir", "lies inside the output folder"}},
    };
    for (const Case& c : cases) {
        CAPTURE(c.key);
        MappedHamlet hamlet;
        hamlet.config(c.table, c.key) = c.value;
        std::vector<std::string> words = c.words;
        words.push_back(hamlet.config_file());
        words.emplace_back(", line ");
        hamlet.refuses(2, words);
    }
}

TEST_CASE("a configuration without a table or key it needs is refused with its name")
{
    MappedHamlet hamlet;
    hamlet.config.tables["inputs.fuel"].erase("classes");
    hamlet.refuses(2, {"inputs.fuel.classes", "missing"});
    hamlet.config.tables.erase("inputs.fuel");
    hamlet.refuses(2, {"inputs.fuel", "missing"});
    write_text(hamlet.folder() / "broken.toml", "[community\n");
    check_refused(run_fuelring({"map", hamlet.folder() / "broken.toml"}), 2,
                  {"broken.toml", "line 1", "no valid TOML"});
}
