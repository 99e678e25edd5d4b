// SPDX-License-Identifier: Apache-2.0

// run.also: the plan and the report made again by `map`, in the publication of the run itself.
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include <map>
#include <set>

using namespace fuelring::test;
using nlohmann::json;

namespace {

/// A hamlet with a budget and stream buffers. `also` is a list as TOML writes it.
class AlsoHamlet : public Hamlet {
public:
    explicit AlsoHamlet(const std::string& also = {})
    {
        config("treat", "budget") = "{ hectares = 0.2 }";
        name_also(also);
    }
    void name_also(const std::string& also)
    {
        if (also.empty())
            config.tables["run"].erase("also");
        else
            config("run", "also") = also;
    }
    void keep_out_west_of(double x)
    {
        fs::remove(folder() / "streams.gpkg");
        make_layer(folder() / "streams.gpkg", "GPKG", "name", 32611,
                   {{"stream", rectangle_wkt(600000, 5600000, x, 5600300)}});
        config("treat", "keep_out") =
            "{ path = " + toml_text(folder() / "streams.gpkg") + ", layer = 'streams' }";
    }
    ProgramResult succeed(const std::string& command, std::vector<std::string> more = {}) const
    {
        const ProgramResult result = must_succeed(run(command, more));
        return result;
    }
    void report() const { must_succeed(run_fuelring({"report", out()})); }
    json manifest() const { return json::parse(text_of(out() / "run.json")); }
    int generation() const { return manifest().at("generation").get<int>(); }
    bool has(const char* name) const { return fs::exists(out() / name); }
};

/// The files of a set by name, run.json apart, with the time of the run taken out.
std::map<std::string, std::string> files_of(const AlsoHamlet& hamlet)
{
    const std::string finished = hamlet.manifest().at("timings").at("finished");
    std::map<std::string, std::string> files;
    for (const auto& entry : fs::directory_iterator{hamlet.out()}) {
        std::string text = text_of(entry.path());
        for (std::size_t at = 0; (at = text.find(finished, at)) != std::string::npos;)
            text.replace(at, finished.size(), "TIME");
        files[entry.path().filename()] = std::move(text);
    }
    files.erase("run.json");
    return files;
}

} // namespace

TEST_CASE("run.also makes the bytes that treat and report make after the run, in one publication")
{
    AlsoHamlet hamlet;
    hamlet.succeed("map");
    hamlet.succeed("treat");
    hamlet.report();
    CHECK(hamlet.generation() == 3);
    const auto expected = files_of(hamlet);
    json plan_by_hand = hamlet.manifest().at("treatment");

    fs::remove_all(hamlet.out());
    hamlet.name_also("['treat', 'report']");
    hamlet.succeed("map");
    CHECK(hamlet.generation() == 1);
    const auto made = files_of(hamlet);
    CHECK(made.size() > 20);
    CHECK(made.size() == expected.size());
    for (const auto& file : expected) {
        CAPTURE(file.first);
        REQUIRE(made.contains(file.first));
        CHECK((made.at(file.first) == file.second));
    }
    std::set<std::string> listed;
    const json manifest = hamlet.manifest();
    for (const json& file : manifest.at("files"))
        listed.insert(file.at("name"));
    CHECK(listed.size() == made.size());
    json plan = manifest.at("treatment");
    for (json* of_this_run : {&plan, &plan_by_hand})
        of_this_run->erase("timings");
    CHECK(plan == plan_by_hand);
}

TEST_CASE("where nothing changed the derived files stay, and what run.also lacks is made")
{
    AlsoHamlet hamlet;
    hamlet.succeed("map");
    CHECK_FALSE(hamlet.has("report.html"));
    hamlet.name_also("['report']"); // the configuration changed
    hamlet.succeed("map");
    CHECK(hamlet.has("report.html"));
    CHECK_FALSE(hamlet.has("treatment.gpkg"));
    hamlet.name_also("['treat', 'report']");
    hamlet.succeed("map");
    CHECK(hamlet.generation() == 3);
    CHECK(hamlet.succeed("map").said("nothing changed since the run of"));
    CHECK(hamlet.generation() == 3);
    CHECK(hamlet.has("treatment.gpkg"));

    hamlet.succeed("treat"); // takes the report out, which shows the plan of before
    CHECK_FALSE(hamlet.has("report.html"));
    CHECK(hamlet.succeed("map").said("the report that run.also asks for is missing"));
    CHECK(hamlet.generation() == 5);
    CHECK(hamlet.has("report.html"));

    AlsoHamlet other; // another configuration puts its own plan into the folder
    other.config = hamlet.config;
    other.config("treat", "budget") = "{ hectares = 0.1 }";
    other.succeed("treat", {"--out", hamlet.out()});
    CHECK(hamlet.succeed("map").said("run.also asks for is missing"));
    CHECK(hamlet.manifest().at("treatment").at("settings").at("budget").at("hectares") == 0.2);
}

TEST_CASE("a layer that only the plan reads is an input like any other")
{
    AlsoHamlet hamlet{"['treat']"};
    hamlet.keep_out_west_of(600010);
    hamlet.succeed("map");
    const auto kept_out = [&] {
        return hamlet.manifest().at("treatment").at("conifer_cells_kept_out").get<int>();
    };
    const int before = kept_out();
    CHECK(before > 0);
    CHECK(hamlet.succeed("map").said("nothing changed since the run of"));
    hamlet.keep_out_west_of(600050);
    CHECK(hamlet.succeed("map", {"--verbose"}).said("treat.keep_out.path changed"));
    CHECK(kept_out() > before);
}

TEST_CASE("where a derived file cannot be made nothing of the run appears")
{
    AlsoHamlet hamlet{"['treat', 'report']"};
    hamlet.succeed("map");
    const auto before = files_of(hamlet);
    hamlet.config("treat", "keep_out") = "{ path = 'nowhere.gpkg' }";
    CHECK(hamlet.run("map").exit_code == 3);
    CHECK(hamlet.generation() == 1);
    CHECK((files_of(hamlet) == before));
    for (const auto& entry : fs::directory_iterator{hamlet.folder()})
        CHECK(entry.path().filename().string().rfind(".out.new", 0) == std::string::npos);
}
