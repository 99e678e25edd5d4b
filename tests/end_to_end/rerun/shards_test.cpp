// SPDX-License-Identifier: Apache-2.0

// A community that several machines map together, against one run: the same outputs, whatever the
// number of shards.
#include "countryside.hpp"
#include "end_to_end/refusal.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <set>

using namespace fuelring::test;
using nlohmann::json;

namespace {

/// A configuration that is mapped in shards, in a folder of its own.
class Town {
public:
    explicit Town(const ConfigFile& right) : config(right) { config.write(file("run.toml")); }
    /// The sample community, with all that a run can have.
    static ConfigFile whole_sample()
    {
        ConfigFile config = sample_config(sample_data());
        config("inputs.parcels", "path") = toml_text(sample_data() / "parcels.gpkg");
        config("inputs.parcels", "owner") = toml_text("owner");
        config("inputs.elevation", "path") = toml_text(sample_data() / "elevation.tif");
        config("uncertainty", "draws") = "5";
        return config;
    }

    ConfigFile config;
    fs::path file(const std::string& name) const { return folder_.path() / name; }
    std::string part(int k, int n, const std::string& parts = "parts") const
    {
        const auto width = std::to_string(n).size();
        return file(fmt::format("{}/shard-{:0{}}-of-{}.part", parts, k, width, n));
    }
    ProgramResult shard(int k, int n, const std::vector<std::string>& more = {}) const
    {
        std::vector<std::string> arguments{
            "map", file("run.toml"), "--shard", fmt::format("{}/{}", k, n), "--out", file("parts")};
        arguments.insert(arguments.end(), more.begin(), more.end());
        return run_fuelring(arguments);
    }
    void shards(int n) const
    {
        for (int k = 1; k <= n; ++k)
            must_succeed(shard(k, n));
    }
    std::vector<std::string> parts(int n) const
    {
        std::vector<std::string> files;
        for (int k = n; k >= 1; --k) // in whatever order
            files.push_back(part(k, n));
        return files;
    }
    ProgramResult merge(const std::vector<std::string>& parts, const std::string& out = "out",
                        const std::vector<std::string>& more = {}) const
    {
        std::vector<std::string> arguments{"merge", file("run.toml"), "--out", file(out),
                                           "--verbose"};
        arguments.insert(arguments.end(), parts.begin(), parts.end());
        arguments.insert(arguments.end(), more.begin(), more.end());
        return run_fuelring(arguments);
    }
    Outputs merged(int n) const
    {
        shards(n);
        const std::string out = fmt::format("merged {}", n);
        const ProgramResult run = must_succeed(merge(parts(n), out));
        CHECK(run.said(fmt::format("merged {} shards", n)));
        return Outputs{file(out)};
    }
    Outputs one_run(const std::string& out = "one") const
    {
        must_succeed(run_fuelring({"map", file("run.toml"), "--out", file(out)}));
        return Outputs{file(out)};
    }

private:
    TempFolder folder_;
};

} // namespace

TEST_CASE("1, 2, 7 and 16 shards merged are one run")
{
    const Town town{Town::whole_sample()};
    const Outputs one = town.one_run();
    CHECK(one.csv.size() > 100'000);
    CHECK(one.manifest.at("warnings").size() > 2);
    CHECK(one.manifest.contains("uncertainty"));
    CHECK(one.manifest.contains("elevation"));
    CHECK(one.manifest.at("counts").at("owner_splits").at("parcels") > 100);
    for (const int n : {1, 2, 7, 16}) {
        CAPTURE(n);
        CHECK(town.merged(n).same_as(one));
    }
}

TEST_CASE("more shards than there is ground give empty parts, and merged one run")
{
    const Hamlet hamlet; // five houses, one of them far off the raster
    const Town town{hamlet.config};
    CHECK(town.merged(13).same_as(town.one_run()));
    const json manifest = json::parse(text_of(town.file("merged 13/run.json")));
    const json& shards = manifest.at("shards");
    REQUIRE(shards.size() == 13);
    std::set<int> structures;
    for (const json& s : shards)
        structures.insert(s.at("structures").get<int>());
    CHECK(*structures.begin() == 0);
    CHECK(shards[12].at("file") == "shard-13-of-13.part");
    CHECK(manifest.at("reuse").at("why_computed") == "merged from 13 shards");
}

TEST_CASE("codes that the class table lacks are counted as one run counts them")
{
    MappedHamlet hamlet;
    for (std::int64_t k = 0; k < 9; ++k)
        set_cell(hamlet.folder() / "fuel.tif", 120 + k, 130, Code{77});
    hamlet.config("inputs.fuel", "unknown_codes") = "'unmapped'";
    const Town town{hamlet.config};
    const Outputs one = town.one_run();
    CHECK(one.manifest.dump().find("77 (9 cells, ") != std::string::npos);
    CHECK(town.merged(3).same_as(one));

    hamlet.config.tables["inputs.fuel"].erase("unknown_codes");
    const Town strict{hamlet.config};
    const ProgramResult refused = strict.shard(2, 3); // the shard with most houses
    const ProgramResult one_refused = run_fuelring({"map", strict.file("run.toml")});
    CHECK(one_refused.exit_code == 3);
    if (refused.exit_code != 0)
        CHECK(refused.errors() == one_refused.errors());
}

TEST_CASE("a shard that is made stays as it is, one that is damaged is made again")
{
    const MappedHamlet hamlet;
    const Town town{hamlet.config};
    town.shards(2);
    const std::string bytes = text_of(town.part(1, 2));
    const auto written = fs::last_write_time(town.part(1, 2));
    const ProgramResult again = town.shard(1, 2, {"--json", "--jobs", "3"});
    CHECK(again.said("is already made"));
    CHECK(json::parse(again.out).at("nothing_changed") == true);
    CHECK((fs::last_write_time(town.part(1, 2)) == written));

    CHECK(town.shard(1, 2, {"--full", "--jobs", "3"}).exit_code == 0); // the same bytes
    CHECK((text_of(town.part(1, 2)) == bytes));
    write_text(town.part(1, 2), bytes.substr(0, bytes.size() / 2));
    CHECK(town.shard(1, 2).exit_code == 0);
    CHECK((text_of(town.part(1, 2)) == bytes));

    const ProgramResult run = town.merge(town.parts(2), "out");
    CHECK(run.exit_code == 0);
    CHECK(town.merge(town.parts(2), "out").said("nothing changed since"));
    const ProgramResult map =
        run_fuelring({"map", town.file("run.toml"), "--out", town.file("out")});
    CHECK(map.said("nothing changed since"));
}
