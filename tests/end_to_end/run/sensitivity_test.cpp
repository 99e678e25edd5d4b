// SPDX-License-Identifier: Apache-2.0

// [sensitivity] against closed forms: what is linear in weights and shares, worked out by hand.
#include "end_to_end/strips.hpp"
#include "support/change_runs.hpp"

#include <nlohmann/json.hpp>

#include <cmath>

using namespace fuelring::test;

namespace {

/// East of a house conifers from 1 to 60 m of its wall, west of it mixed stands from 5 m on.
int stands(double x, double)
{
    return x > 7 && x < 66 ? conifer : x < -11 ? mixed : grass;
}

/// Runs a scene with this table [sensitivity]; the folder.
fs::path run_with(const ChangeRuns& runs, const std::string& name, const Scene& scene,
                  const std::map<std::string, std::string>& keys, const std::string& jobs = "2",
                  const std::string& tile = "512")
{
    runs.map(name, scene);
    ConfigFile config = hamlet_config(runs.path(name + "_inputs"));
    config.tables.erase("inputs.addresses");
    for (const auto& [key, value] : keys)
        config("sensitivity", key) = value;
    config("run", "tile_cells") = tile;
    config.write(runs.path(name + ".toml"));
    must_succeed(run_fuelring({"map", runs.path(name + ".toml"), "--out", runs.path(name + "_out"),
                               "--quiet", "--jobs", jobs}));
    return runs.path(name + "_out");
}

double figure(const fs::path& out, const std::string& column, std::size_t row = 0)
{
    return std::stod(read_csv(out / "sensitivity.csv").cell(row, column));
}

/// Conifer share within d of the wall and beyond `inner`: of conifers in the east and, by
/// `mixed_share`, of mixed stands in the west.
double frac(double inner, double outer, double mixed_share)
{
    const auto within = [&](double r) {
        return beyond_line_m2(house_m, 1, r) - beyond_line_m2(house_m, 60, r) +
               mixed_share * beyond_line_m2(house_m, 5, r);
    };
    return (within(outer) - within(inner)) / (grown_m2(house_m, outer) - grown_m2(house_m, inner));
}

double exposure_of(const std::vector<double>& outer, const std::vector<double>& weight,
                   double mixed_share)
{
    double sum = 0;
    double of = 0;
    for (std::size_t k = 0; k < outer.size(); ++k) {
        sum += weight[k] * frac(k == 0 ? 0 : outer[k - 1], outer[k], mixed_share);
        of += weight[k];
    }
    return 100 * sum / of;
}

} // namespace

TEST_CASE("weights, distances and shares of a trial give the exposures of their closed forms")
{
    const ChangeRuns runs;
    const Scene scene{{square_house("H", 0, 0, house_m)}, stands};
    write_text(runs.path("thin.csv"), "code,label,group,conifer_share,source\n"
                                      "0,no data,unmapped,0,x\n1,conifer,conifer,1,x\n"
                                      "2,hedge,conifer,1,x\n3,mixed,mixed,0.3,x\n"
                                      "4,leaves,broadleaved,0,x\n5,grass,grass,0,x\n"
                                      "6,shrub,shrub,0,x\n7,building,built,0,x\n8,road,built,0,x\n"
                                      "9,water,water,0,x\n10,bare,bare,0,x\n");
    const std::vector<double> of_run{1.5, 10, 30, 100};
    const std::vector<double> usual{0.35, 0.35, 0.20, 0.10};
    struct Case {
        std::string trial;
        double exposure;
    };
    const std::string thin = toml_text(runs.path("thin.csv"));
    const std::vector<Case> cases{
        {"weight = [1, 1, 1, 1]", exposure_of(of_run, {1, 1, 1, 1}, 0.5)},
        {"weight = [0, 0, 0, 1]", exposure_of(of_run, {0, 0, 0, 1}, 0.5)},
        {"outer_m = [10, 100], weight = [2, 1]", exposure_of({10, 100}, {2, 1}, 0.5)},
        {"outer_m = [5, 40, 120], weight = [2, 1, 1]", exposure_of({5, 40, 120}, {2, 1, 1}, 0.5)},
        {"classes = " + thin, exposure_of(of_run, usual, 0.3)},
        {"classes = " + thin + ", outer_m = [30], weight = [1]", exposure_of({30}, {1}, 0.3)},
        {"classes = " + thin + ", outer_m = [20], weight = [1]", exposure_of({20}, {1}, 0.3)}};
    const double run_exposure = exposure_of(of_run, usual, 0.5);
    for (std::size_t k = 0; k < cases.size(); ++k) {
        CAPTURE(cases[k].trial);
        const fs::path out = run_with(runs, "case " + std::to_string(k), scene,
                                      {{"trials", "[{ name = 'other', " + cases[k].trial + " }]"}});
        CHECK(figure(out, "exposure") == doctest::Approx(run_exposure).epsilon(1e-5));
        // CSV figures have 4 decimals.
        CHECK(std::abs(figure(out, "exposure_lowest") -
                       std::min(run_exposure, cases[k].exposure)) <= 0.51e-4);
        CHECK(std::abs(figure(out, "exposure_highest") -
                       std::max(run_exposure, cases[k].exposure)) <= 0.51e-4);
    }
}

TEST_CASE("a confusion of classes gives the expected exposure exactly, and its spread by its range")
{
    const ChangeRuns runs;
    const Scene scene{{square_house("H", 0, 0, house_m)}, stands};
    write_text(runs.path("matrix.csv"), "map_class,conifer stand,lawn or grass\n"
                                        "conifer stand,80,20\nlawn or grass,0,50\n");
    const std::string matrix = toml_text(runs.path("matrix.csv"));
    const fs::path whole =
        run_with(runs, "whole", scene,
                 {{"confusion", matrix}, {"range_m", "10000"}, {"draws", "400"}, {"seed", "7"}});
    // All conifers together are what they seem with 0.8: the expected share is 0.8 of them.
    const std::vector<double> of_run{1.5, 10, 30, 100};
    const std::vector<double> usual{0.35, 0.35, 0.20, 0.10};
    const double none = 100 * [&] {
        double sum = 0;
        for (std::size_t k = 0; k < 4; ++k)
            sum += usual[k] * 0.5 *
                   (beyond_line_m2(house_m, 5, of_run[k]) -
                    (k ? beyond_line_m2(house_m, 5, of_run[k - 1]) : 0)) /
                   (grown_m2(house_m, of_run[k]) - grown_m2(house_m, k ? of_run[k - 1] : 0));
        return sum;
    }();
    const double all = exposure_of(of_run, usual, 0.5);
    CHECK(std::abs(figure(whole, "exposure_expected") - (none + 0.8 * (all - none))) <= 0.51e-4);
    CHECK(std::abs(figure(whole, "exposure_lowest") - none) <= 0.51e-4);
    CHECK(std::abs(figure(whole, "exposure_highest") - all) <= 0.51e-4);
    // One draw of 0.8 for the whole raster: standard deviation 0.4 of the difference; the estimate
    // of 400 draws is off by a tenth at most.
    CHECK(figure(whole, "exposure_spread") == doctest::Approx(0.4 * (all - none)).epsilon(0.1));
    // Errors of small squares cancel out.
    const fs::path small =
        run_with(runs, "small", scene, {{"confusion", matrix}, {"range_m", "2"}, {"draws", "200"}});
    CHECK(figure(small, "exposure_expected") == figure(whole, "exposure_expected"));
    CHECK(figure(small, "exposure_spread") < 0.25 * figure(whole, "exposure_spread"));
}

TEST_CASE("trials are the same to the last bit for any threads and tiles")
{
    const ChangeRuns runs;
    std::vector<Shape> houses;
    for (int k = 0; k < 6; ++k)
        houses.push_back(square_house("H" + std::to_string(k), -100 + 40 * k, 20 * (k % 3) - 20));
    const Scene scene{houses, stands};
    write_text(runs.path("matrix.csv"), "map_class,conifer stand,mixed stand,lawn or grass\n"
                                        "conifer stand,80,10,10\nmixed stand,10,30,20\n"
                                        "lawn or grass,2,3,95\n");
    const std::map<std::string, std::string> keys{
        {"confusion", toml_text(runs.path("matrix.csv"))},
        {"trials", "[{ name = 'flat', weight = [1, 1, 1, 1] }, "
                   "{ name = 'far', outer_m = [20, 120], weight = [1, 1] }]"}};
    const fs::path one = run_with(runs, "one", scene, keys, "1", "64");
    const fs::path four = run_with(runs, "four", scene, keys, "4", "512");
    CHECK(text_of(one / "sensitivity.csv") == text_of(four / "sensitivity.csv"));
    CHECK(read_csv(one / "sensitivity.csv").rows.size() == 6);
    const auto run = nlohmann::json::parse(text_of(one / "run.json"));
    CHECK(run.at("sensitivity").at("trials") == 1 + 2 + 1 + 32);
}

TEST_CASE("on the sample the page tells which ranks are a toss-up")
{
    const TempFolder folder;
    ConfigFile config = sample_config(sample_data());
    config("sensitivity", "trials") = "[{ name = 'flat', weight = [1, 1, 1, 1] }, "
                                      "{ name = 'wall', weight = [1, 0, 0, 0] }]";
    config.write(folder.path() / "run.toml");
    const fs::path out = folder.path() / "out";
    must_succeed(run_fuelring({"map", folder.path() / "run.toml", "--out", out, "--quiet"}));
    must_succeed(run_fuelring({"report", out, "--quiet"}));
    const Csv csv = read_csv(out / "sensitivity_neighbourhoods.csv");
    REQUIRE(csv.rows.size() == 5);
    for (std::size_t k = 0; k < csv.rows.size(); ++k) {
        const int rank = std::stoi(csv.cell(k, "rank"));
        CHECK(std::stoi(csv.cell(k, "rank_best")) <= rank);
        CHECK(std::stoi(csv.cell(k, "rank_worst")) >= rank);
    }
    CHECK(csv.cell(4, "above_next_share").empty());
    const std::string page = text_of(out / "report.html");
    CHECK(page.find("Which ranks hold") != std::string::npos);
    const bool tossed = csv.cell(1, "toss_up") == csv.cell(2, "toss_up") ||
                        csv.cell(2, "toss_up") == csv.cell(3, "toss_up") ||
                        csv.cell(3, "toss_up") == csv.cell(4, "toss_up") ||
                        csv.cell(0, "toss_up") == csv.cell(1, "toss_up");
    CHECK((page.find("are a toss-up: ") != std::string::npos) == tossed);
    must_succeed(run_fuelring({"report", out, "--public", "--quiet"}));
    CHECK(text_of(out / "public" / "report.html").find("Which ranks hold") == std::string::npos);
}
