// SPDX-License-Identifier: Apache-2.0

// fuelring report: what it puts where, and what it keeps from the public.
#include "report_runs.hpp"

#include <nlohmann/json.hpp>

using namespace fuelring::test;

TEST_CASE("a report stands beside the files of its run, which stay as they were to the byte")
{
    const SampleRun sample;
    auto before = bytes_below(sample.run());
    sample.report();
    auto after = bytes_below(sample.run());
    const std::string page = after.at("report.html");
    const auto manifest = nlohmann::json::parse(after.at("run.json"));
    const std::vector<std::string> made = manifest.at("report").at("files");
    CHECK(made.front() == "report.html");
    for (auto* files : {&before, &after}) {
        files->erase("run.json");
        for (const std::string& name : made)
            files->erase(name);
    }
    CHECK((before == after));

    sample.report(); // again on the generation that has a report
    CHECK((text_of(sample.run() / "report.html") == page));
}

TEST_CASE("a new plan takes out the pages that show the one before")
{
    const SampleRun sample;
    sample.report();
    sample.report({"--public", "--quiet"});
    sample.treat();
    CHECK_FALSE(fs::exists(sample.run() / "report.html"));
    CHECK_FALSE(fs::exists(sample.run() / "public"));
    CHECK(fs::exists(sample.run() / "treatment_units.csv"));
    const auto manifest = nlohmann::json::parse(text_of(sample.run() / "run.json"));
    CHECK_FALSE(manifest.contains("report"));
    sample.report();
    CHECK(text_of(sample.run() / "report.html").find("would lower summed exposure by") !=
          std::string::npos);
}

TEST_CASE("a report in a folder of its own leaves the run as it was and says where it comes from")
{
    const SampleRun sample;
    const auto before = bytes_below(sample.run());
    sample.report({"--out", sample.beside("report"), "--quiet"});
    CHECK((bytes_below(sample.run()) == before));
    const auto made = bytes_below(sample.beside("report"));
    CHECK(made.contains("report.html"));
    const auto manifest = nlohmann::json::parse(made.at("run.json"));
    CHECK(manifest.at("provenance").at("run_id") ==
          nlohmann::json::parse(before.at("run.json")).at("run_id"));
}

TEST_CASE("what is for the public names no home and no folder, beside the run or on its own")
{
    const SampleRun sample;
    sample.report({"--public", "--quiet"});
    sample.report({"--public", "--quiet", "--out", sample.beside("public")});
    const Csv addresses = read_csv(sample.run() / "addresses.csv");
    for (const fs::path& folder : {sample.run() / "public", sample.beside("public")})
        for (const auto& [name, bytes] : bytes_below(folder)) {
            const std::string file = name; // Clang 14 captures no structured binding
            CAPTURE(file);
            for (std::size_t i = 0; i < addresses.rows.size(); ++i)
                for (const char* column : {"address", "structure_id", "x", "y", "lon", "lat"}) {
                    const std::string& cell = addresses.cell(i, column);
                    CAPTURE(cell);
                    CHECK((cell.empty() || bytes.find(cell) == bytes.npos));
                }
            CHECK(bytes.find(sample.beside("").string()) == bytes.npos);
            CHECK(bytes.find(sample_data().string()) == bytes.npos);
        }
    CHECK(fs::exists(sample.beside("public") / "run.json"));
}

TEST_CASE("a public table shows no group of fewer than five homes, and adds up to the community")
{
    const SampleRun sample;
    sample.report({"--public", "--quiet"});
    const Csv all = read_csv(sample.run() / "neighbourhoods.csv");
    const Csv shown = read_csv(sample.run() / "public" / "neighbourhoods.csv");
    CHECK(all.cell(all.rows.size() - 2, "neighbourhood") == "(outside)"); // 4 homes
    CHECK(all.cell(all.rows.size() - 2, "structures") == "4");
    int structures = 0;
    int near = 0;
    for (std::size_t i = 0; i + 1 < shown.rows.size(); ++i) {
        CHECK(std::stoi(shown.cell(i, "structures")) >= 5);
        structures += std::stoi(shown.cell(i, "structures"));
        near += std::stoi(shown.cell(i, "structures_conifer_within_10m"));
    }
    const std::size_t last = shown.rows.size() - 1;
    CHECK(shown.cell(last, "neighbourhood") == "(community)");
    CHECK(std::stoi(shown.cell(last, "structures")) == structures);
    CHECK(std::stoi(shown.cell(last, "structures_conifer_within_10m")) == near);
    for (const char* left_out : {"p90_exposure", "sum_exposure"})
        CHECK_THROWS(shown.column(left_out));
}
