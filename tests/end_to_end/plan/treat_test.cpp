// SPDX-License-Identifier: Apache-2.0

// `fuelring treat` as its users run it: on the sample community and on a hamlet.
#include "end_to_end/treat_runs.hpp"
#include "io/gdal/handles.hpp"

#include <fmt/format.h>
#include <gdal_utils.h>

#include <cmath>

using namespace fuelring::test;
using nlohmann::json;

namespace {

/// A copy of the sample's fuel raster with every unit turned into lawn.
void clear_units(const fs::path& geopackage, const fs::path& fuel)
{
    fs::copy_file(sample_data() / "fuel.tif", fuel);
    GDALAllRegister();
    const fuelring::DatasetPtr raster{GDALOpen(fuel.c_str(), GA_Update)};
    const fuelring::DatasetPtr units{
        GDALOpenEx(geopackage.c_str(), GDAL_OF_VECTOR, nullptr, nullptr, nullptr)};
    REQUIRE(raster);
    REQUIRE(units);
    std::vector<std::string> words{"-burn", std::to_string(grass), "-l", "treatment_units"};
    std::vector<char*> arguments;
    for (std::string& word : words)
        arguments.push_back(word.data());
    arguments.push_back(nullptr);
    GDALRasterizeOptions* options = GDALRasterizeOptionsNew(arguments.data(), nullptr);
    int wrong = 0;
    GDALRasterize(nullptr, raster.get(), units.get(), options, &wrong);
    GDALRasterizeOptionsFree(options);
    REQUIRE(wrong == 0);
}

} // namespace

TEST_CASE("the plan of the sample community comes close to what no plan can beat")
{
    PlannedSample sample;
    const double reach_ha = number(sample.treat(1), "conifer_in_reach_ha");
    struct Case {
        double budget, of_fractional, of_reachable, smallest_m2, fixed_cost;
    };
    const Case cases[] = {{0.01, 0.80, 0, 10, 0},    {0.05, 0.90, 0.95, 10, 0},
                          {0.20, 0.90, 0.95, 10, 0}, {0.50, 0.90, 0.95, 10, 0},
                          {0.05, 0, 0.95, 25, 0},    {0.20, 0, 0.95, 50, 0},
                          {0.05, 0, 0.95, 100, 0}};
    for (const Case& c : cases) {
        CAPTURE(c.budget);
        CAPTURE(c.smallest_m2);
        sample.config("treat", "smallest_m2") = std::to_string(c.smallest_m2);
        const json plan = sample.treat(c.budget * reach_ha);
        const double removed = number(plan, "exposure_removed");
        const double fractional = number(plan.at("bounds"), "fractional_optimum");
        const double reachable = number(plan.at("bounds"), "reachable");
        MESSAGE(fmt::format("{:.2f} of the conifers, {} m2: {:.4f} of the optimum, {:.4f} of the "
                            "reachable",
                            c.budget, c.smallest_m2, removed / fractional, removed / reachable));
        CHECK(removed <= reachable);
        CHECK(reachable <= fractional);
        CHECK(removed >= c.of_fractional * fractional);
        CHECK(removed >= c.of_reachable * reachable);
        // Ring by ring the same budget saves less: the choice is among more cells.
        double least = 0;
        for (const json& strategy : plan.at("strategies")) {
            CHECK(number(strategy, "exposure_removed") >= least);
            CHECK(number(strategy, "conifer_ha") <= c.budget * reach_ha * (1 + 1e-9));
            least = number(strategy, "exposure_removed");
        }
    }
}

TEST_CASE("a full run on the raster with the units cleared finds the exposures that were planned")
{
    PlannedSample sample;
    const json plan = sample.treat(1.5);
    // Before, too: float32 cells of the surface, and keys of the same precision.
    CHECK(number(plan, "sum_exposure_before") - number(plan, "sum_exposure_after") ==
          doctest::Approx(number(plan, "exposure_removed")).epsilon(1e-6));
    const fs::path geopackage = sample.out() / "treatment.gpkg";
    const std::vector<SqlRow> planned =
        sql(geopackage, "SELECT structure_id, exposure_before, exposure_after FROM "
                        "treatment_exposure ORDER BY structure_id");
    const std::string of_run =
        "SELECT structure_id, exposure FROM structures ORDER BY structure_id";
    const std::vector<SqlRow> before = sql(sample.out() / "fuelring.gpkg", of_run);

    clear_units(geopackage, sample.folder() / "cleared.tif");
    sample.config("inputs.fuel", "path") = toml_text(sample.folder() / "cleared.tif");
    REQUIRE(sample.run("map").exit_code == 0);
    const std::vector<SqlRow> after = sql(sample.out() / "fuelring.gpkg", of_run);
    REQUIRE(planned.size() == after.size());
    const std::vector<double> falls{0.1, 0.5, 1, 2, 5};
    std::vector<std::int64_t> helped(falls.size());
    for (std::size_t k = 0; k < planned.size(); ++k) {
        CAPTURE(*planned[k][0].text);
        CHECK(planned[k][0].text == after[k][0].text);
        REQUIRE(planned[k][2].is_null() == after[k][1].is_null());
        if (planned[k][2].is_null())
            continue;
        CHECK(std::abs(*planned[k][1].number - *before[k][1].number) <= 1e-9);
        CHECK(std::abs(*planned[k][2].number - *after[k][1].number) <= 1e-9);
        for (std::size_t f = 0; f < falls.size(); ++f)
            helped[f] += *before[k][1].number - *after[k][1].number >= falls[f] - 1e-9 ? 1 : 0;
    }
    for (std::size_t f = 0; f < falls.size(); ++f)
        CHECK(plan.at(fmt::format("homes_helped_{:g}", falls[f])) == helped[f]);
    CHECK(helped[2] < static_cast<std::int64_t>(planned.size())); // not every home
}

TEST_CASE("thinning removes what the residual share leaves out")
{
    PlannedSample sample;
    sample.config("treat", "residual_share") = "0.3";
    const json plan = sample.treat(1.5);
    CHECK(number(plan, "sum_exposure_before") - number(plan, "sum_exposure_after") ==
          doctest::Approx(number(plan, "exposure_removed")).epsilon(1e-6));
}

TEST_CASE("the CSV, the GeoPackage and the text say the same")
{
    const PlannedHamlet hamlet;
    const ProgramResult run = must_succeed(hamlet.run("treat", {"--json"}));
    const json plan = json::parse(run.out).at("treatment");
    const Csv csv = read_csv(hamlet.out() / "treatment_units.csv");
    const std::vector<SqlRow> rows =
        sql(hamlet.out() / "treatment.gpkg",
            "SELECT rank, owner, method, conifer_m2, area_m2, cost, exposure_removed, "
            "homes_in_reach FROM treatment_units ORDER BY rank");
    REQUIRE(!rows.empty());
    REQUIRE(rows.size() == csv.rows.size());
    double conifer_m2 = 0;
    double cost = 0;
    double removed = 0;
    for (std::size_t k = 0; k < rows.size(); ++k) {
        const auto in_csv = [&](const char* name) { return std::stod(csv.cell(k, name)); };
        CHECK(in_csv("rank") == *rows[k][0].number);
        CHECK(csv.cell(k, "owner") == *rows[k][1].text);
        CHECK(csv.cell(k, "method") == *rows[k][2].text);
        CHECK(csv.cell(k, "note").find("does not mean a home is safe") != std::string::npos);
        CHECK(std::abs(in_csv("conifer_m2") - *rows[k][3].number) <= 0.5001e-3);
        CHECK(std::abs(in_csv("area_m2") - *rows[k][4].number) <= 0.5001e-3);
        CHECK(std::abs(in_csv("cost") - *rows[k][5].number) <= 0.5001e-2);
        CHECK(std::abs(in_csv("exposure_removed") - *rows[k][6].number) <= 0.5001e-4);
        CHECK(in_csv("homes_in_reach") == *rows[k][7].number);
        // What a hectare costs on that ground, rounded up to the cent.
        const double per_ha = csv.cell(k, "owner") == "town" ? 4000 : 12000;
        const double paid = *rows[k][3].number * per_ha / 10'000;
        CHECK(*rows[k][5].number >= paid - 0.001);
        CHECK(*rows[k][5].number <= paid + 0.011);
        conifer_m2 += *rows[k][3].number;
        cost += *rows[k][5].number;
        removed += *rows[k][6].number;
    }
    CHECK(number(plan, "conifer_ha") == doctest::Approx(conifer_m2 / 10'000).epsilon(1e-12));
    CHECK(number(plan, "cost") == doctest::Approx(cost).epsilon(1e-12));
    CHECK(number(plan, "exposure_removed") == doctest::Approx(removed).epsilon(1e-12));
    CHECK(cost <= 300);
    CHECK(run.said(fmt::format("{} patches, {:.2f} ha of conifers in all, for about {} (budget "
                               "300)",
                               rows.size(), conifer_m2 / 10'000, std::llround(cost))));
    CHECK(run.said(fmt::format("by {:.1f}, which is", removed)));
    CHECK(run.said("no plan made of patches of at least 10 m2 can lower it by more than"));
    CHECK(run.said("it needs a site visit, the owner's consent and a check of local rules"));
    CHECK(run.said("a low figure does not mean a home is safe"));
}

TEST_CASE("the files of a plan carry the caution where GIS and spreadsheets show it")
{
    const PlannedHamlet hamlet;
    REQUIRE(hamlet.run("treat").exit_code == 0);
    for (const char* name : {"treatment_units.csv", "benefit_curve.csv"}) {
        const Csv table = read_csv(hamlet.out() / name);
        CHECK(table.header.back() == "note");
        REQUIRE(!table.rows.empty());
        for (const auto& row : table.rows)
            CHECK(row.back().find("not a probability of ignition") != std::string::npos);
    }
    const std::vector<std::pair<const char*, const char*>> packages{
        {"treatment.gpkg", "licensed people under local codes"},
        {"fuelring.gpkg", "a low figure does not mean a home is safe"}};
    for (const auto& [name, words] : packages) {
        const std::string about = fmt::format("%{}%", words);
        const fs::path file = hamlet.out() / name;
        CHECK(sql_number(file, "SELECT count(*) FROM gpkg_metadata JOIN gpkg_metadata_reference ON "
                               "id = md_file_id WHERE reference_scope = 'geopackage' AND metadata "
                               "LIKE '" +
                                   about + "'") == 1);
        CHECK(sql_number(file, "SELECT count(*) FROM gpkg_contents WHERE data_type = 'features' "
                               "AND description NOT LIKE '" +
                                   about + "'") == 0);
    }
}

TEST_CASE("the plan is the same to the byte for any number of workers")
{
    const PlannedHamlet hamlet;
    REQUIRE(hamlet.run("treat", {"--jobs", "1"}).exit_code == 0);
    const auto tables = [&] {
        std::string all = dump_of(hamlet.out() / "treatment.gpkg");
        for (const char* name :
             {"treatment_units.csv", "benefit_curve.csv", "treatment_exposure.csv"})
            all += text_of(hamlet.out() / name);
        return all;
    };
    const std::string one = tables();
    for (const char* jobs : {"2", "7"}) {
        CAPTURE(jobs);
        REQUIRE(hamlet.run("treat", {"--jobs", jobs}).exit_code == 0);
        CHECK((tables() == one));
    }
}

TEST_CASE("treat adds to the set and keeps the rest; a new map does not carry a plan over")
{
    PlannedHamlet hamlet;
    const ProgramResult first = hamlet.run("treat");
    REQUIRE(first.exit_code == 0);
    CHECK(first.said("running map first: there is no run yet"));
    write_text(hamlet.out() / "notes.txt", "mine");
    const std::string addresses = text_of(hamlet.out() / "addresses.csv");
    const json before = json::parse(text_of(hamlet.out() / "run.json"));

    hamlet.config("treat", "gap_m") = "2";
    const ProgramResult second = hamlet.run("treat");
    CHECK(second.exit_code == 0);
    CHECK_FALSE(second.said("running map first"));
    const json after = json::parse(text_of(hamlet.out() / "run.json"));
    CHECK(after.at("generation").get<int>() == before.at("generation").get<int>() + 1);
    CHECK(after.at("files").size() == before.at("files").size());
    CHECK(after.at("treatment").at("settings").at("gap_m") == 2);
    CHECK(text_of(hamlet.out() / "addresses.csv") == addresses);
    CHECK(text_of(hamlet.out() / "notes.txt") == "mine");

    hamlet.config("rings", "near_m") = "30";
    const ProgramResult stale = hamlet.run("treat");
    CHECK(stale.exit_code == 0);
    CHECK(stale.said("running map first: the configuration changed"));

    json manifest = json::parse(text_of(hamlet.out() / "run.json"));
    manifest.at("schema_version") = 1; // tables of other columns
    write_text(hamlet.out() / "run.json", manifest.dump());
    CHECK(hamlet.run("treat").said("running map first: the run was made by another version"));

    const ProgramResult same = hamlet.run("map"); // it is not a new one
    CHECK(same.said("nothing changed since the run of"));
    CHECK(fs::exists(hamlet.out() / "treatment_units.csv"));
    hamlet.config("rings", "near_m") = "10";
    REQUIRE(hamlet.run("map").exit_code == 0);
    CHECK_FALSE(fs::exists(hamlet.out() / "treatment_units.csv"));
    CHECK(text_of(hamlet.out() / "notes.txt") == "mine");
}

TEST_CASE("where everything must be left alone the plan is empty and says so")
{
    PlannedHamlet hamlet;
    make_layer(hamlet.folder() / "nests.gpkg", "GPKG", "what", 26911,
               {{"all", rectangle_wkt(599000, 5599000, 601000, 5601000)}});
    hamlet.config("treat", "keep_out") =
        fmt::format("{{ path = {} }}", toml_text(hamlet.folder() / "nests.gpkg"));
    const ProgramResult run = hamlet.run("treat", {"--json", "--verbose"});
    INFO(run.err);
    CHECK(run.exit_code == 0);
    CHECK(run.said("no patches: no conifers within reach may be treated"));
    CHECK(read_csv(hamlet.out() / "treatment_units.csv").rows.empty());
    const json plan = json::parse(run.out).at("treatment");
    CHECK(number(plan, "units") == 0);
    CHECK(plan.at("conifer_cells_kept_out") == plan.at("conifer_cells_in_reach"));
    const json system = plan.at("systems").at("treat.keep_out");
    CHECK(run.said("by " + system.at("operation").get<std::string>()));
    CHECK(number(system, "accuracy_m") > 0);
    CHECK(number(plan, "sum_exposure_after") == number(plan, "sum_exposure_before"));
}

TEST_CASE("no unit touches a place that must be left alone")
{
    PlannedHamlet hamlet;
    // A stream as a line through the conifers, aslant.
    make_layer(hamlet.folder() / "streams.gpkg", "GPKG", "what", 32611,
               {{"brook", "POLYGON ((600050 5600100, 600099 5600190, 600099.5 5600190, 600050.5 "
                          "5600100, 600050 5600100))"}});
    hamlet.config("treat", "keep_out") =
        fmt::format("{{ path = {} }}", toml_text(hamlet.folder() / "streams.gpkg"));
    hamlet.config("treat", "budget") = "{ hectares = 2 }";
    REQUIRE(hamlet.run("treat").exit_code == 0);
    const json plan = json::parse(text_of(hamlet.out() / "run.json")).at("treatment");
    CHECK(number(plan, "conifer_cells_kept_out") >= 90); // one cell a row and more
    CHECK(number(plan, "units") >= 1);
}

TEST_CASE("treat without a budget says which key is missing")
{
    const Hamlet hamlet;
    const ProgramResult run = hamlet.run("treat");
    CHECK(run.exit_code == 2);
    CHECK(run.said("treat.budget"));
}
