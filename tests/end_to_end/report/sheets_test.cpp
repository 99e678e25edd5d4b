// SPDX-License-Identifier: Apache-2.0

// Address sheets as their readers have them: the text of the PDF against the table.
#include "pdf_pages.hpp"
#include "support/change_runs.hpp"
#include "support/make_inputs.hpp"
#include "support/read_outputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>

using namespace fuelring::test;

namespace {

/// A run of the demo, with parcels and heights.
class DemoRun {
public:
    DemoRun() { succeed({"map", sample_data() / "tamarack_bend.toml", "--out", run(), "--quiet"}); }
    fs::path run() const { return folder_.path() / "run"; }
    fs::path beside(const std::string& name) const { return folder_.path() / name; }
    void report(const std::vector<std::string>& more) const
    {
        std::vector<std::string> arguments{"report", run(), "--quiet"};
        arguments.insert(arguments.end(), more.begin(), more.end());
        succeed(arguments);
    }

private:
    static void succeed(const std::vector<std::string>& arguments)
    {
        must_succeed(run_fuelring(arguments));
    }
    TempFolder folder_;
};

/// "<1", "999", "21,710": below a million.
std::string whole(double value)
{
    std::string digits = value > 0 && value < 0.5 ? "<1" : fmt::format("{:.0f}", value);
    if (digits.size() > 3)
        digits.insert(digits.size() - 3, ",");
    return digits;
}

double number(const Csv& table, std::size_t row, const std::string& column)
{
    return std::stod(table.cell(row, column));
}

/// What every sheet says to whoever would judge by it, or begin to cut.
constexpr const char* cautions[] = {
    "They are not a probability of ignition, and a low figure does not mean a home is safe.",
    "A high figure is not a verdict on an owner, and not a price for insurance.",
    "Local codes and licensed practice come before anything on this page.",
    "Near power lines, leave the work to the utility and keep to its rules.",
    "Have buried lines located before you dig",
    "On dry, windy days do not use tools that throw sparks",
    "Take away what was cut",
    "but never a vent: the house needs fresh air."};

/// What the sheet of a row has to say.
std::vector<std::string> expected(const Csv& table, std::size_t row)
{
    std::vector<std::string> said;
    const auto cell = [&](const std::string& column) { return number(table, row, column); };
    const auto percent = [&](const std::string& column) { return whole(100 * cell(column)); };
    const std::string& rank = table.cell(row, "rank");
    said.push_back(fmt::format("Overall: {:.1f} out of 100, {} 272 buildings", cell("exposure"),
                               rank == "1" ? "the highest of" : "ranked " + rank + " of"));
    const double nearest = cell("nearest_conifer_m");
    said.push_back(nearest > 0 ? fmt::format("is {:.1f} m from the wall.", nearest)
                               : "A mapped conifer touches the wall");
    const char* const rings[][3] = {{"0", "1.5", "0_1.5m"},
                                    {"1.5", "10", "1.5_10m"},
                                    {"10", "30", "10_30m"},
                                    {"30", "100", "30_100m"}};
    for (const auto& [from, to, label] : rings) {
        const std::string at = std::string{"_"} + label;
        said.push_back(
            cell("conifer_m2" + at) > 0
                ? fmt::format(
                      "From {} to {} m from the wall, conifers cover {} m² ({}% of the mapped "
                      "land) and other vegetation that can burn covers {}%.",
                      from, to, whole(cell("conifer_m2" + at)), percent("conifer_frac" + at),
                      percent("other_burnable_frac" + at))
                : fmt::format("From {} to {} m from the wall there are no conifers", from, to));
    }
    for (const auto& [owner, words] :
         {std::pair{"own", "on this building’s own parcel"}, std::pair{"crown", "on Crown land"},
          std::pair{"municipal", "on municipal land"}}) {
        const std::string column = std::string{"conifer_m2_"} + owner;
        const double near = cell(column + "_0_1.5m") + cell(column + "_1.5_10m");
        const double all = near + cell(column + "_10_30m") + cell(column + "_30_100m");
        for (const double m2 : {near, all})
            if (m2 > 0)
                said.push_back(fmt::format("{} m² {}", whole(m2), words));
    }
    return said;
}

} // namespace

TEST_CASE("the sheets of all homes say what addresses.csv says, each on one page, twice the same")
{
    const DemoRun sample;
    const fs::path first = sample.beside("first");
    sample.report({"--sheets", "all", "--out", first});
    const Csv table = read_csv(sample.run() / "addresses.csv");
    const std::vector<std::string> pages = pages_of(first / "sheets.pdf");
    REQUIRE(pages.size() == table.rows.size());
    for (std::size_t row = 0; row < pages.size(); ++row) {
        CAPTURE(pages[row]);
        for (const std::string& words : expected(table, row)) {
            CAPTURE(words);
            CHECK(pages[row].find(words) != std::string::npos);
        }
        CHECK(pages[row].find("Building " + table.cell(row, "structure_id")) != std::string::npos);
        for (const char* words : cautions) {
            CAPTURE(words);
            CHECK(pages[row].find(words) != std::string::npos);
        }
    }
    const fs::path second = sample.beside("second");
    sample.report({"--sheets", "all", "--out", second});
    for (const auto& [name, bytes] : bytes_below(first))
        if (name != "run.json")
            CHECK((text_of(second / name) == bytes));
}

TEST_CASE("sheets are made of one address, one structure or one neighbourhood, or not at all")
{
    const DemoRun sample;
    const Csv table = read_csv(sample.run() / "addresses.csv");
    std::size_t in_rise = 0;
    for (std::size_t row = 0; row < table.rows.size(); ++row)
        in_rise += table.cell(row, "neighbourhood") == "Kestrel Rise" ? 1 : 0;
    sample.report({"--sheets", "Kestrel Rise", "--paper", "letter"});
    CHECK(pages_of(sample.run() / "sheets.pdf").size() == in_rise);
    CHECK(output_of("pdfinfo '" + (sample.run() / "sheets.pdf").string() + "'")
              .find("612 x 792 pts") != std::string::npos);
    for (const char* one : {"Kestrel Lane 5", "kestrel lane 5", "TB-0292"}) {
        sample.report({"--sheets", one});
        const std::vector<std::string> pages = pages_of(sample.run() / "sheets.pdf");
        REQUIRE(pages.size() == 1);
        CHECK(pages[0].find("Kestrel Lane 5") != std::string::npos);
    }
}

TEST_CASE("every neighbourhood has its map, and the maps say what neighbourhoods.csv says")
{
    const DemoRun demo;
    demo.report({});
    const Csv table = read_csv(demo.run() / "neighbourhoods.csv");
    const std::vector<std::string> pages = pages_of(demo.run() / "map.pdf");
    REQUIRE(pages.size() == table.rows.size() - 1); // the community, all but (outside) and itself
    CHECK(text_of(demo.run() / "map.png").rfind("\x89PNG", 0) == 0);
    for (std::size_t row = 0; row + 2 < table.rows.size(); ++row) {
        const std::string& name = table.cell(row, "neighbourhood");
        CAPTURE(name);
        const std::string figures =
            fmt::format("{} mean {:.1f}, {} buildings ({} with conifers within 10 m)", name,
                        number(table, row, "mean_exposure"), table.cell(row, "structures"),
                        table.cell(row, "structures_conifer_within_10m"));
        CHECK(pages[0].find(figures) != std::string::npos);
        CHECK(pages[row + 1].find(figures) != std::string::npos);
        CHECK(pages[row + 1].find("the buildings of " + name) != std::string::npos);
        std::string file = "map_" + name + ".png";
        std::transform(file.begin(), file.end(), file.begin(), [](char c) {
            return c == ' ' ? '_' : static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
        });
        CHECK(fs::exists(demo.run() / file));
    }
}

TEST_CASE("the map for the public names no neighbourhood of few buildings, and none has its own")
{
    const DemoRun demo;
    demo.report({"--public"});
    const fs::path folder = demo.run() / "public";
    const Csv shown = read_csv(folder / "neighbourhoods.csv");
    const std::vector<std::string> pages = pages_of(folder / "map.pdf");
    REQUIRE(pages.size() == 1);
    const Csv all = read_csv(demo.run() / "neighbourhoods.csv");
    for (std::size_t row = 0; row + 2 < all.rows.size(); ++row) {
        const std::string& name = all.cell(row, "neighbourhood");
        const bool is_shown = std::any_of(shown.rows.begin(), shown.rows.end(), [&](const auto& r) {
            return r[shown.column("neighbourhood")] == name;
        });
        CAPTURE(name);
        CHECK((pages[0].find(name) != std::string::npos) == is_shown);
    }
    for (const auto& entry : fs::directory_iterator{folder})
        CHECK(entry.path().filename().string().rfind("map_", 0) != 0);
}

TEST_CASE("the gain in the box is what map measures on the raster with the conifers nearby cleared")
{
    const ChangeRuns runs;
    // A house of 12 m, a thicket from 2 to 8 m off its east wall, and woods far from it, partly
    // unmapped; cells of 1 m, so the thicket lies within 10 m as a whole.
    const std::vector<Shape> house{
        {"H", rectangle_wkt(scene_x - 6, scene_y - 6, scene_x + 6, scene_y + 6)}};
    const auto ground = [](bool cleared) {
        return [cleared](double x, double y) {
            if (x > 8 && x < 14 && std::abs(y) < 4)
                return cleared ? int{grass} : int{conifer};
            if (std::abs(x) < 17 && std::abs(y) < 17)
                return int{grass};
            return y > 60 ? no_data : x < 0 ? int{conifer} : int{mixed};
        };
    };
    runs.map("now", {house, ground(false)});
    runs.map("then", {house, ground(true)});
    const auto exposure_in = [&](const std::string& run) {
        return sql_number(runs.path(run) / "fuelring.gpkg", "SELECT exposure FROM structures");
    };
    const ProgramResult report =
        must_succeed(run_fuelring({"report", runs.path("now"), "--sheets", "all", "--json"}));
    const auto sheet = nlohmann::json::parse(report.out).at("sheets").at(0);
    const double now = sheet.at("exposure").get<double>();
    const double then = sheet.at("exposure_cleared").get<double>();
    CHECK(std::abs(now - exposure_in("now")) < 1e-9);
    CHECK(std::abs(then - exposure_in("then")) < 1e-9);
    CHECK(then < now - 1); // else any figure would do
    const std::vector<std::string> pages = pages_of(runs.path("now") / "sheets.pdf");
    CHECK(pages.at(0).find(fmt::format("Clear the 48 m² of conifers within 10 m of the wall. That "
                                       "takes the overall value from {:.1f} to {:.1f} out of 100.",
                                       now, then)) != std::string::npos);
}

TEST_CASE("sheets tell whom to ask, what the town offers and the source of the advice, once each")
{
    const TempFolder folder;
    ConfigFile config = sample_config(sample_data());
    config("report", "contact") = "'Questions? Fire hall, 250-555-0142'";
    config("report", "visit") = "'Free visit until June 30 <b>'";
    config("report", "logo") =
        toml_text(sample_data().parent_path() / "src/manual/pictures/sample_map.png");
    config.write(folder.path() / "run.toml");
    const fs::path out = folder.path() / "out";
    must_succeed(run_fuelring({"map", folder.path() / "run.toml", "--out", out, "--quiet"}));
    must_succeed(run_fuelring({"report", out, "--sheets", "Kestrel Rise", "--quiet"}));
    const std::string file = "'" + (out / "sheets.pdf").string() + "'";
    for (const std::string& page : pages_of(out / "sheets.pdf")) {
        CAPTURE(page);
        for (const char* words :
             {"Questions? Fire hall, 250-555-0142", "Free visit until June 30 <b>",
              "Your first job", "Common practice; no published source."}) {
            CAPTURE(words);
            const std::size_t at = page.find(words);
            CHECK(at != std::string::npos);
            CHECK(page.find(words, at + 1) == std::string::npos);
        }
        CHECK(page.find("\u00b9") == std::string::npos);
        CHECK(page.find("At your home") < page.find("At every home"));
    }
    // One picture, however many sheets.
    CHECK(output_of("pdfimages -list " + file +
                    " | awk '$4 == 1200 {print $11}' | sort -u | wc -l") == "1\n");
}

TEST_CASE("the brief is one page across that says what the run's tables say")
{
    const TempFolder folder;
    ConfigFile config = sample_config(sample_data());
    config("treat", "budget") = "{ money = 13500 }";
    config("treat", "costs") = "[{ per_ha = 9000 }]";
    config("report", "currency") = "'CAD'";
    config.write(folder.path() / "run.toml");
    const fs::path out = folder.path() / "out";
    must_succeed(run_fuelring({"map", folder.path() / "run.toml", "--out", out, "--quiet"}));
    const auto brief = [&](const std::vector<std::string>& more, const fs::path& file) {
        std::vector<std::string> arguments{"report", out, "--quiet"};
        arguments.insert(arguments.end(), more.begin(), more.end());
        must_succeed(run_fuelring(arguments));
        const std::vector<std::string> pages = pages_of(file);
        REQUIRE(pages.size() == 1);
        return pages.front();
    };
    const std::string before = brief({}, out / "brief.pdf");
    CHECK(before.find("No plan has been made yet") != std::string::npos);
    CHECK(output_of("pdfinfo '" + (out / "brief.pdf").string() + "'").find("841.89 x 595.276") !=
          std::string::npos);

    const ProgramResult treated = must_succeed(
        run_fuelring({"treat", folder.path() / "run.toml", "--out", out, "--quiet", "--json"}));
    const auto plan = nlohmann::json::parse(treated.out).at("treatment");
    const std::string page = brief({"--paper", "letter"}, out / "brief.pdf");
    CHECK(output_of("pdfinfo '" + (out / "brief.pdf").string() + "'").find("792 x 612") !=
          std::string::npos);
    const Csv table = read_csv(out / "neighbourhoods.csv");
    const std::size_t all = table.rows.size() - 1;
    const double cost = plan.at("cost").get<double>();
    const std::string percent =
        fmt::format("{:.0f}%", 100 * plan.at("share_of_exposure_removed").get<double>());
    const std::string hectares = fmt::format("{:.2f} ha", plan.at("conifer_ha").get<double>());
    const std::vector<std::string> said{
        fmt::format("{} of {} buildings have conifers within 10 m.",
                    table.cell(all, "structures_conifer_within_10m"),
                    table.cell(all, "structures")),
        fmt::format("Clearing {} in the right places would cut the total exposure by {}.", hectares,
                    percent),
        fmt::format("this plan: {}, about CAD {}, {}", hectares, whole(std::round(cost)), percent),
        "upper limit for any plan",
        "They are not a probability of ignition, and a low figure does not mean a home is safe.",
        "Land that is not mapped is unknown, not zero.",
        "Each place needs a visit",
        "Imagery dated July 15, 2024."};
    for (const std::string& words : said) {
        CAPTURE(words);
        CAPTURE(page);
        CHECK(page.find(words) != std::string::npos);
    }
    for (std::size_t row = 0; row < 5; ++row)
        CHECK(page.find(table.cell(row, "neighbourhood") + " " +
                        fmt::format("{:.1f}", number(table, row, "mean_exposure"))) !=
              std::string::npos);

    const std::string shared = brief({"--public"}, out / "public" / "brief.pdf");
    CHECK(shared.find("buildings have conifers within 10 m.") != std::string::npos);
    CHECK(shared.find("not mapped") == shared.find("not mapped is unknown")); // no cells, no legend
}
