// SPDX-License-Identifier: Apache-2.0

// What is known and what is not, over a vegetation map that ends in the middle of the town: every
// place that gives a count, a mean or a rank gives it of the structures that were measured, and all
// of them give the same. The expected figures are counted from addresses.csv, structure by
// structure.
#include "pdf_pages.hpp"
#include "support/make_inputs.hpp"
#include "support/read_outputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <map>
#include <set>

using namespace fuelring::test;
using nlohmann::json;

namespace {

constexpr std::int64_t mapped_cols = 726; ///< of the sample's 2000

ProgramResult succeed(const std::vector<std::string>& arguments)
{
    ProgramResult done = run_fuelring(arguments);
    INFO(done.err);
    REQUIRE(done.exit_code == 0);
    return done;
}

/// The sample with its fuel raster cut off east of a column, or without data there.
class CutTown {
public:
    explicit CutTown(bool cut_off = true)
    {
        const Band whole = read_band(sample_data() / "fuel.tif");
        make_fuel(folder_.path() / "cut.tif",
                  {cut_off ? mapped_cols : whole.cols, whole.rows, whole.transform, 32611,
                   [&](std::int64_t row, std::int64_t col) {
                       return col < mapped_cols ? static_cast<int>(whole.at(row, col)) : no_data;
                   }});
        ConfigFile config = sample_config(sample_data());
        config("treat", "budget") = "{ hectares = 0.1 }";
        config.write(folder_.path() / "whole.toml");
        config("inputs.fuel", "path") = toml_text(folder_.path() / "cut.tif");
        config.write(this->config());
    }

    fs::path config() const { return folder_.path() / "run.toml"; }
    fs::path beside(const std::string& name) const { return folder_.path() / name; }
    fs::path out() const { return folder_.path() / "out"; }

private:
    TempFolder folder_;
};

struct Counts {
    std::int64_t structures = 0;
    std::int64_t measured = 0;
    std::int64_t known = 0;
    std::int64_t near = 0;
    double sum = 0;

    void add(const Csv& table, std::size_t row)
    {
        const auto number = [&](const char* column) {
            const std::string& cell = table.cell(row, column);
            return cell.empty() ? std::nan("") : std::stod(cell);
        };
        ++structures;
        if (std::isnan(number("exposure")))
            return;
        ++measured;
        sum += number("exposure");
        const bool found = number("nearest_conifer_m") <= 10;
        const double inner = number("ring_m2_0_1.5m");
        const double outer = number("ring_m2_1.5_10m");
        const double mapped = inner * (1 - number("unmapped_frac_0_1.5m")) +
                              outer * (1 - number("unmapped_frac_1.5_10m"));
        known += found || mapped >= (inner + outer) / 2 ? 1 : 0;
        near += found ? 1 : 0;
    }
};

/// By row of neighbourhoods.csv, each structure once.
std::map<std::string, Counts> counted(const Csv& addresses)
{
    std::map<std::string, Counts> counts;
    std::set<std::string> seen;
    for (std::size_t row = 0; row < addresses.rows.size(); ++row) {
        if (!seen.insert(addresses.cell(row, "structure_id")).second)
            continue;
        const std::string& name = addresses.cell(row, "neighbourhood");
        counts[name.empty() ? "(outside)" : name].add(addresses, row);
        counts["(community)"].add(addresses, row);
    }
    return counts;
}

json data_of_page(const std::string& page)
{
    const std::string_view begin = "<script type=\"application/json\" id=\"data\">";
    const std::size_t from = page.find(begin) + begin.size();
    return json::parse(page.substr(from, page.find("</script>", from) - from));
}

/// "12 of 34 buildings measured; 5 of 6 have conifers within 10 m"
std::string on_map(const Counts& c)
{
    std::string text = fmt::format(", {} of {} buildings measured", c.measured, c.structures);
    return c.known == 0
               ? text
               : text + fmt::format(" ({} of {} with conifers within 10 m)", c.near, c.known);
}

} // namespace

TEST_CASE("over a map of part of the town every count, mean and rank is of what was measured")
{
    const CutTown town;
    const ProgramResult map =
        succeed({"map", town.config(), "--out", town.out(), "--json", "--jobs", "2"});
    std::map<std::string, Counts> counts = counted(read_csv(town.out() / "addresses.csv"));
    const Counts all = counts.at("(community)");
    // The cut makes every kind: off the map, known beyond 10 m only, clear, with conifers.
    REQUIRE(all.measured < all.structures);
    REQUIRE(all.known < all.measured);
    REQUIRE(all.near < all.known);
    REQUIRE(all.near > 0);

    const json run = json::parse(text_of(town.out() / "run.json"));
    const json summary = json::parse(map.out);
    for (const json& totals : {run.at("counts"), summary.at("counts")}) {
        CHECK(totals.at("structures") == all.structures);
        CHECK(totals.at("structures_measured") == all.measured);
        CHECK(totals.at("structures_known_within_10m") == all.known);
        CHECK(totals.at("structures_conifer_within_10m") == all.near);
    }
    CHECK(map.said(fmt::format("{} of {} structures have conifers within 10 m ({} more are "
                               "unmapped there)",
                               all.near, all.known, all.structures - all.known)));
    const std::int64_t partly = run.at("counts").at("flags").at("partly_unmapped");
    CHECK(map.said(fmt::format("{} of {} structures measured, {} of them partly unmapped\n",
                               all.measured, all.structures, partly)));

    succeed({"report", town.out(), "--quiet"});
    succeed({"report", town.out(), "--quiet", "--public"});
    const std::string page = text_of(town.out() / "report.html");
    const std::string headline = fmt::format(
        "<h1>{} of {} buildings have conifers within 10\u00a0m, {} more are unknown.</h1>",
        all.near, all.known, all.structures - all.known);
    CHECK(page.find(headline) != page.npos);
    CHECK(text_of(town.out() / "public" / "report.html").find(headline) != page.npos);
    CHECK(page.find(fmt::format("{} of {} buildings are measured, {} of them partly unmapped.",
                                all.measured, all.structures, partly)) != page.npos);

    const Csv table = read_csv(town.out() / "neighbourhoods.csv");
    const Csv history = read_csv(town.out() / "history.csv");
    const auto layer =
        sql(town.out() / "fuelring.gpkg",
            "select neighbourhood, rank, structures, structures_measured, "
            "structures_known_within_10m, structures_conifer_within_10m, mean_exposure "
            "from neighbourhoods order by fid");
    const json rows = data_of_page(page).at("neighbourhoods");
    const std::string still = pages_of(town.out() / "map.pdf").at(0);
    REQUIRE(table.rows.size() == 7);
    REQUIRE(layer.size() == table.rows.size());
    REQUIRE(rows.size() == table.rows.size());
    bool ranks_ended = false;
    std::size_t unranked = 0;
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
        const std::string& name = table.cell(row, "neighbourhood");
        CAPTURE(name);
        const Counts& c = counts[name];
        CHECK(table.cell(row, "structures") == fmt::format("{}", c.structures));
        CHECK(table.cell(row, "structures_measured") == fmt::format("{}", c.measured));
        CHECK(table.cell(row, "structures_known_within_10m") == fmt::format("{}", c.known));
        CHECK(table.cell(row, "structures_conifer_within_10m") == fmt::format("{}", c.near));
        CHECK(history.cell(row, "structures_measured") == fmt::format("{}", c.measured));
        CHECK(history.cell(row, "structures_known_near") == fmt::format("{}", c.known));
        const std::string& mean = table.cell(row, "mean_exposure");
        CHECK(mean.empty() == (c.measured == 0));
        if (c.measured > 0)
            CHECK(std::abs(std::stod(mean) - c.sum / static_cast<double>(c.measured)) < 2e-4);

        // Ranked where at least half is measured; those come first.
        const std::string& rank = table.cell(row, "rank");
        const bool is_neighbourhood = name.front() != '(';
        CHECK(rank.empty() ==
              !(is_neighbourhood && c.measured > 0 && 2 * c.measured >= c.structures));
        CHECK_FALSE((ranks_ended && !rank.empty()));
        ranks_ended = ranks_ended || rank.empty();
        unranked += is_neighbourhood && rank.empty() ? 1 : 0;

        CHECK(layer[row][0].text == name);
        CHECK(layer[row][1].is_null() == rank.empty());
        CHECK(layer[row][3].number == static_cast<double>(c.measured));
        CHECK(layer[row][4].number == static_cast<double>(c.known));
        CHECK(layer[row][5].number == static_cast<double>(c.near));
        CHECK(rows[row].at("rank").is_null() == rank.empty());
        CHECK(rows[row].at("structures") == c.structures);
        CHECK(rows[row].at("measured") == c.measured);
        CHECK(rows[row].at("known_near") == c.known);
        CHECK(rows[row].at("near") == c.near);
        CHECK(still.find(on_map(c)) != still.npos);
        const json& told = run.at("neighbourhoods").at(row);
        CHECK(told.at("structures_measured") == c.measured);
        CHECK(told.at("structures_known_within_10m") == c.known);
        CHECK(told.at("structures_conifer_within_10m") == c.near);
    }
    REQUIRE(unranked > 1);
    CHECK(
        map.said(fmt::format("{} neighbourhoods not ranked: less than half measured\n", unranked)));
    CHECK(page.find("A neighbourhood has no rank if fewer than half of its buildings could "
                    "be measured.") != page.npos);
    CHECK(still.find(fmt::format("not measured (unknown): {} buildings",
                                 all.structures - all.measured)) != still.npos);

    // The public table adds up to the same.
    const Csv shown = read_csv(town.out() / "public" / "neighbourhoods.csv");
    std::int64_t named = 0;
    for (std::size_t row = 0; row < shown.rows.size(); ++row) {
        const Counts& c = counts[shown.cell(row, "neighbourhood")];
        named += c.structures > 0 ? 1 : 0;
        for (const char* column : {"structures_measured", "structures_known_within_10m"}) {
            const std::int64_t homes = std::stoll(shown.cell(row, column));
            CHECK((homes == 0 || homes >= 5)); // of few it would show them
        }
    }
    CHECK(named == 4); // with nothing measured or enough, and the community
    for (const auto& [column, whole] : {std::pair{"structures_measured", all.measured},
                                        std::pair{"structures_known_within_10m", all.known},
                                        std::pair{"structures_conifer_within_10m", all.near}}) {
        std::int64_t sum = 0;
        for (std::size_t row = 0; row + 1 < shown.rows.size(); ++row)
            sum += std::stoll(shown.cell(row, column));
        CHECK(sum == whole);
        CHECK(std::stoll(shown.cell(shown.rows.size() - 1, column)) == whole);
    }
}

TEST_CASE("plans, sheets and comparisons say how many structures their figures are of")
{
    const CutTown town;
    succeed({"map", town.config(), "--out", town.out(), "--quiet"});
    const std::map<std::string, Counts> counts = counted(read_csv(town.out() / "addresses.csv"));
    const Counts all = counts.at("(community)");

    const ProgramResult treated = succeed({"treat", town.config(), "--out", town.out(), "--json"});
    const json plan = json::parse(treated.out).at("treatment");
    CHECK(plan.at("structures") == all.structures);
    CHECK(plan.at("structures_measured") == all.measured);
    CHECK(
        treated.said(fmt::format(", {} of {} structures measured)", all.measured, all.structures)));

    succeed({"report", town.out(), "--quiet", "--sheets", "Heron Flats"});
    CHECK(text_of(town.out() / "report.html")
              .find(fmt::format("Only the {} of {} buildings that could be measured are counted.",
                                all.measured, all.structures)) != std::string::npos);
    const std::string sheets =
        fmt::format("{}", fmt::join(pages_of(town.out() / "sheets.pdf"), "\n"));
    CHECK(sheets.find(fmt::format("of {} buildings (1 is the highest)", all.measured)) !=
          sheets.npos);
    CHECK(sheets.find("among the 272") == sheets.npos);

    succeed({"map", town.beside("whole.toml"), "--out", town.beside("whole"), "--quiet"});
    const ProgramResult change = succeed(
        {"change", town.beside("whole"), town.out(), "--out", town.beside("change"), "--json"});
    const json sums = json::parse(change.out);
    CHECK(sums.at("counts").at("exposure").at("unknown") == all.structures - all.measured);
    CHECK(change.said(
        fmt::format("; {} could not be measured in both runs", all.structures - all.measured)));
    // No conifer came or went: what the maps show of the ground did.
    CHECK(std::abs(sums.at("exposure").at("sum_change_by_fuel").get<double>()) < 1e-9);
    CHECK(change.said(
        fmt::format("of the difference of {0:.1f} points, {0:.1f} are not due to conifers",
                    sums.at("exposure").at("sum_change").get<double>())));
    succeed({"report", town.out(), "--quiet", "--change", town.beside("change")});
    const std::string page = text_of(town.out() / "report.html");
    CHECK(page.find("0.0 points come from conifers lost or gained on land mapped in both years") !=
          page.npos);
    CHECK(page.find(fmt::format("For the {} buildings measured in both runs, total exposure",
                                all.measured)) != page.npos);
    CHECK(page.find(fmt::format("{} more could not be measured in both runs and are left out.",
                                all.structures - all.measured)) != page.npos);

    const ProgramResult later =
        succeed({"map", town.config(), "--out", town.beside("whole"), "--accept"});
    CHECK(later.said(fmt::format("{} no longer measured", all.structures - all.measured)));
}

TEST_CASE("the page shows the ground around every home on the raster, measured or not")
{
    const CutTown town{false};
    for (const char* name : {"run", "whole"}) {
        succeed({"map", town.beside(std::string{name} + ".toml"), "--out", town.beside(name),
                 "--quiet"});
        succeed({"report", town.beside(name), "--quiet"});
    }
    const auto surface = [&](const char* name) {
        return data_of_page(text_of(town.beside(name) / "report.html")).at("surface");
    };
    // Of the same ground, though two thirds of the homes are not measured in one of them.
    for (std::size_t k = 0; k < 4; ++k)
        CHECK(std::abs(surface("run").at("box").at(k).get<double>() -
                       surface("whole").at("box").at(k).get<double>()) < 1);
}
