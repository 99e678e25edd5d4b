// SPDX-License-Identifier: Apache-2.0

// fuelring report: what it puts where, and what it keeps from the public.
#include "end_to_end/report_runs.hpp"

#include <nlohmann/json.hpp>

#include <cmath>
#include <map>
#include <set>

using namespace fuelring::test;

namespace {

/// Every number of a document, wherever it stands.
void collect(const nlohmann::json& document, std::vector<double>& to)
{
    if (document.is_number())
        to.push_back(document.get<double>());
    for (const auto& part : document.is_structured() ? document : nlohmann::json::array())
        collect(part, to);
}

/// The data of a page.
nlohmann::json data_in(const fs::path& page)
{
    const std::string text = text_of(page);
    const std::string begin = "<script type=\"application/json\" id=\"data\">";
    const std::size_t at = text.find(begin) + begin.size();
    return nlohmann::json::parse(text.substr(at, text.find("</script>", at) - at));
}

/// A number of a table; NaN where it has none.
double number_in(const Csv& table, std::size_t row, const std::string& column)
{
    const std::string& cell = table.cell(row, column);
    return cell.empty() ? std::nan("") : std::stod(cell);
}

/// What the columns of the neighbourhood table say of one, by column.
std::map<std::string, double> figures_of(const Csv& table, std::size_t row)
{
    std::map<std::string, double> figures;
    for (const std::string& column : table.header)
        if (column != "neighbourhood" && column != "rank")
            figures[column] = number_in(table, row, column);
    return figures;
}

} // namespace

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
    CHECK(text_of(sample.run() / "report.html").find("would cut total exposure by") !=
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

TEST_CASE("a town's web map gets the public figures by place, in degrees, and no others")
{
    const SampleRun sample;
    sample.report({"--public", "--quiet"});
    const Csv shown = read_csv(sample.run() / "public" / "neighbourhoods.csv");
    const auto map =
        nlohmann::json::parse(text_of(sample.run() / "public" / "neighbourhoods.geojson"));
    std::size_t row = 0;
    for (const auto& feature : map.at("features")) {
        const auto& figures = feature.at("properties");
        while (shown.cell(row, "neighbourhood") != figures.at("neighbourhood").get<std::string>())
            ++row; // in the table's order; rows without land are left out
        CHECK(figures.at("structures").dump() == shown.cell(row, "structures"));
        CHECK(figures.at("structures_conifer_within_10m").dump() ==
              shown.cell(row, "structures_conifer_within_10m"));
        CHECK(figures.at("mean_exposure").get<double>() ==
              doctest::Approx(std::stod(shown.cell(row, "mean_exposure"))).epsilon(1e-4));
        CHECK(figures.at("caution").get<std::string>().find("conifers only") != std::string::npos);
        for (const auto& polygon : feature.at("geometry").at("coordinates"))
            for (const auto& place :
                 polygon.at(0)) { // the sample lies there (sample_data/README.md)
                CHECK(std::abs(place.at(0).get<double>() + 116.985) < 0.02);
                CHECK(std::abs(place.at(1).get<double>() - 50.557) < 0.02);
            }
    }
    CHECK(map.at("features").size() == 5);
}

TEST_CASE(
    "nothing that the public has leads back to the figures of a neighbourhood that is not shown")
{
    const SampleRun sample;
    sample.treat();
    sample.report({"--public", "--quiet"});
    const fs::path folder = sample.run() / "public";
    const Csv all = read_csv(sample.run() / "neighbourhoods.csv");
    const Csv shown = read_csv(folder / "neighbourhoods.csv");
    std::set<std::string> names;
    std::vector<double> published; // everything but shapes, whose numbers are steps of an outline
    for (std::size_t i = 0; i < shown.rows.size(); ++i) {
        names.insert(shown.cell(i, "neighbourhood"));
        for (const auto& [column, value] : figures_of(shown, i))
            if (!std::isnan(value))
                published.push_back(value);
    }
    nlohmann::json data = data_in(folder / "report.html");
    for (nlohmann::json& row : data.at("neighbourhoods"))
        row.erase("shape");
    collect(data, published);
    REQUIRE(published.size() > 50);

    // Totals over homes, by every choice of published rows taken off the community: the whole is
    // the last row.
    const std::size_t rows = shown.rows.size();
    const auto total = [&](const std::string& column, std::size_t i) {
        const double value = number_in(shown, i, column);
        return column == "mean_exposure" ? value * number_in(shown, i, "structures") : value;
    };
    std::vector<std::size_t> hidden;
    for (std::size_t i = 0; i < all.rows.size(); ++i)
        if (!names.count(all.cell(i, "neighbourhood")))
            hidden.push_back(i);
    REQUIRE(hidden.size() == 2); // 4 homes outside, and the smallest neighbourhood with them
    for (const std::size_t i : hidden) {
        CAPTURE(all.cell(i, "neighbourhood"));
        for (const auto& [named, value] : figures_of(all, i)) {
            const std::string column = named; // Clang 14 captures no structured binding
            CAPTURE(column);
            if (std::isnan(value) || std::abs(value - std::round(value)) < 1e-9)
                continue; // counts and zeros are found anywhere
            for (const double number : published)
                CHECK((std::abs(number - value) > 5e-5 || value < 0.01));
        }
        for (const std::string column :
             {"structures", "structures_conifer_within_10m", "mean_exposure"})
            for (std::size_t choice = 0; choice < std::size_t{1} << (rows - 1); ++choice) {
                double left = total(column, rows - 1);
                for (std::size_t k = 0; k + 1 < rows; ++k)
                    left -= (choice >> k & 1U) != 0 ? total(column, k) : 0;
                const double secret = column == "mean_exposure" ? number_in(all, i, "sum_exposure")
                                                                : number_in(all, i, column);
                CHECK(std::abs(left - secret) > (column == "mean_exposure" ? 0.1 : 0));
            }
    }
    for (std::size_t i = 0; i + 2 < rows; ++i) // the merged row and the community have none
        CHECK(shown.cell(i, "rank") == std::to_string(i + 1));
    const std::string page = text_of(folder / "report.html");
    CHECK(page.find("Groups of fewer than five buildings are combined with the smallest "
                    "neighbourhood, so that no home can be singled out.") != page.npos);
}
