// SPDX-License-Identifier: Apache-2.0

// addresses.csv as the manual promises it, and the layers that say the same.
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <map>
#include <set>

using namespace fuelring::test;

namespace {

constexpr std::string_view columns =
    "rank,rank_in_neighbourhood,address,structure_id,neighbourhood,x,y,lon,lat,footprint_m2,"
    "roof_canopy_m2,nearest_conifer_m,exposure,"
    "ring_m2_0_1.5m,conifer_m2_0_1.5m,conifer_frac_0_1.5m,other_burnable_frac_0_1.5m,"
    "unmapped_frac_0_1.5m,"
    "ring_m2_1.5_10m,conifer_m2_1.5_10m,conifer_frac_1.5_10m,other_burnable_frac_1.5_10m,"
    "unmapped_frac_1.5_10m,"
    "ring_m2_10_30m,conifer_m2_10_30m,conifer_frac_10_30m,other_burnable_frac_10_30m,"
    "unmapped_frac_10_30m,"
    "ring_m2_30_100m,conifer_m2_30_100m,conifer_frac_30_100m,other_burnable_frac_30_100m,"
    "unmapped_frac_30_100m,"
    "conifer_frac_within_1.5m,conifer_frac_within_10m,conifer_frac_within_30m,"
    "conifer_frac_within_100m,flags";

/// Digits after the point; nothing for texts.
std::optional<int> decimals_of(const std::string& column)
{
    static const std::map<std::string, int> special = {
        {"rank", 0}, {"rank_in_neighbourhood", 0}, {"exposure", 4}, {"lon", 8}, {"lat", 8}};
    static const std::set<std::string> texts = {"address", "structure_id", "neighbourhood",
                                                "flags"};
    if (texts.contains(column))
        return std::nullopt;
    if (const auto found = special.find(column); found != special.end())
        return found->second;
    return column.find("_frac_") != column.npos ? 6 : 3;
}

/// What the CSV has to hold for a value of the GeoPackage.
std::string csv_cell_of(const SqlCell& cell, const std::string& column)
{
    if (cell.is_null())
        return "";
    if (const auto decimals = decimals_of(column))
        return fmt::format("{:.{}f}", cell.number.value(), *decimals);
    const std::string& text = cell.text.value();
    return (text.starts_with('=') ? "'" : "") + text;
}

fs::path map_sample(const fs::path& folder)
{
    sample_config(sample_data()).write(folder / "run.toml");
    must_succeed(run_fuelring({"map", folder / "run.toml"}));
    return folder / "out";
}

/// Compares every cell of the CSV with the layer `addresses`, row by row in the layer's order.
std::size_t compare_with_layer(const Csv& csv, const fs::path& geopackage)
{
    std::string names;
    for (const std::string& name : csv.header)
        names += fmt::format("{}\"{}\"", names.empty() ? "" : ", ", name);
    const auto rows = sql(geopackage, "select " + names + " from addresses order by fid");
    REQUIRE(rows.size() == csv.rows.size());
    std::size_t compared = 0;
    for (std::size_t row = 0; row < rows.size(); ++row)
        for (std::size_t k = 0; k < csv.header.size(); ++k, ++compared)
            if (csv.rows[row][k] != csv_cell_of(rows[row][k], csv.header[k])) {
                CAPTURE(row);
                CAPTURE(csv.header[k]);
                CHECK(csv.rows[row][k] == csv_cell_of(rows[row][k], csv.header[k]));
            }
    return compared;
}

/// The exposures of structures, rounded as ranks see them, by structure.
std::map<std::string, double> rounded_exposures(const Csv& csv, const std::string& neighbourhood)
{
    std::map<std::string, double> found;
    for (std::size_t row = 0; row < csv.rows.size(); ++row)
        if (!csv.cell(row, "exposure").empty() &&
            (neighbourhood.empty() || csv.cell(row, "neighbourhood") == neighbourhood))
            found[csv.cell(row, "structure_id")] = std::stod(csv.cell(row, "exposure"));
    return found;
}

/// 1 + how many structures have more.
std::string competition_rank(const std::map<std::string, double>& exposures, double exposure)
{
    return std::to_string(1 + std::count_if(exposures.begin(), exposures.end(),
                                            [&](const auto& e) { return e.second > exposure; }));
}

} // namespace

TEST_CASE("the columns of addresses.csv are the documented ones, lines end in CRLF after a mark")
{
    Hamlet hamlet;
    REQUIRE(hamlet.run("map").exit_code == 0);
    const std::string text = text_of(hamlet.out() / "addresses.csv");
    CHECK(text.starts_with("\xEF\xBB\xBF" + std::string{columns} + "\r\n"));
    CHECK(text.ends_with("\r\n"));
    // None of the hamlet's texts holds a line break, so every LF ends a row, and none stands alone.
    CHECK(std::count(text.begin(), text.end(), '\n') == std::count(text.begin(), text.end(), '\r'));

    hamlet.config("output", "csv_bom") = "false";
    REQUIRE(hamlet.run("map").exit_code == 0);
    CHECK(("\xEF\xBB\xBF" + text_of(hamlet.out() / "addresses.csv") == text));
}

TEST_CASE("names of columns follow the distances of the configuration")
{
    Hamlet hamlet;
    hamlet.config("rings", "outer_m") = "[2, 30.5]";
    hamlet.config("rings", "weight") = "[1, 1]";
    REQUIRE(hamlet.run("map").exit_code == 0);
    const Csv csv = read_csv(hamlet.out() / "addresses.csv");
    CHECK_NOTHROW(csv.column("ring_m2_0_2m"));
    CHECK_NOTHROW(csv.column("conifer_frac_2_30.5m"));
    CHECK_NOTHROW(csv.column("conifer_frac_within_30.5m"));
    CHECK(csv.header.size() == 13 + 2 * 5 + 2 + 1);
}

TEST_CASE("every figure of addresses.csv is the GeoPackage's, rounded as documented")
{
    const TempFolder folder;
    const fs::path out = map_sample(folder.path());
    const Csv csv = read_csv(out / "addresses.csv");
    CHECK(compare_with_layer(csv, out / "fuelring.gpkg") == csv.rows.size() * csv.header.size());
    CHECK(csv.rows.size() > 350);
}

TEST_CASE("rows are sorted by rank, and ranks count the structures that are worse off")
{
    const TempFolder folder;
    const Csv csv = read_csv(map_sample(folder.path()) / "addresses.csv");
    const auto everywhere = rounded_exposures(csv, "");
    std::map<std::string, std::map<std::string, double>> by_neighbourhood;
    std::tuple<double, std::string, std::string> before{-1e300, "", ""};
    for (std::size_t row = 0; row < csv.rows.size(); ++row) {
        CAPTURE(row);
        const double exposure = std::stod(csv.cell(row, "exposure"));
        const std::string& neighbourhood = csv.cell(row, "neighbourhood");
        CHECK(csv.cell(row, "rank") == competition_rank(everywhere, exposure));
        if (!neighbourhood.empty()) {
            auto& of_it = by_neighbourhood[neighbourhood];
            if (of_it.empty())
                of_it = rounded_exposures(csv, neighbourhood);
            CHECK(csv.cell(row, "rank_in_neighbourhood") == competition_rank(of_it, exposure));
        }
        const std::tuple now{-exposure, csv.cell(row, "structure_id"), csv.cell(row, "address")};
        CHECK((before <= now));
        before = now;
    }
    CHECK(by_neighbourhood.size() == 5);
}

TEST_CASE("each address has a row, each house without one its own, stray addresses are listed")
{
    Hamlet hamlet;
    REQUIRE(hamlet.run("map").exit_code == 0);
    const Csv csv = read_csv(hamlet.out() / "addresses.csv");
    std::vector<std::string> seen;
    for (std::size_t row = 0; row < csv.rows.size(); ++row)
        seen.push_back(csv.cell(row, "structure_id") + ": " + csv.cell(row, "address"));
    // By falling exposure: the conifers are in the west. A-5 lies off the raster.
    CHECK(seen == std::vector<std::string>{"A-1: Larch Way 2, flat A", "A-1: Larch Way 2, flat B",
                                           "A-2: '=HYPERLINK(\"x\")",
                                           "A-3: Fir Lane 9 \"The Nook\"", "A-4: ", "A-5: "});
    CHECK(csv.cell(0, "rank") == "1");
    CHECK(csv.cell(1, "rank") == "1");
    CHECK(csv.cell(2, "rank") == "2");
    CHECK(csv.cell(5, "rank") == "");
    CHECK(csv.cell(5, "exposure") == "");
    CHECK(csv.cell(5, "flags") == "unmapped");
    CHECK(csv.cell(5, "unmapped_frac_0_1.5m") == "1.000000");
    CHECK(sql_number(hamlet.out() / "fuelring.gpkg", "select count(*) from structures") == 5);

    const auto manifest = nlohmann::json::parse(text_of(hamlet.out() / "run.json"));
    CHECK(manifest["counts"]["address_rows"] == 6);
    CHECK(manifest["counts"]["text_cells_neutralised"] == 1);
    const auto& warnings = manifest["warnings"];
    const auto stray = std::find_if(warnings.begin(), warnings.end(), [](const auto& warning) {
        return warning["key"] == "addresses_not_joined";
    });
    REQUIRE(stray != warnings.end());
    CHECK((*stray)["examples"] == nlohmann::json{"Far Road 1"});
}

TEST_CASE("text that a spreadsheet would run is made inert in the table, not in the layers")
{
    Hamlet hamlet;
    REQUIRE(hamlet.run("map").exit_code == 0);
    CHECK(text_of(hamlet.out() / "addresses.csv").find("\"'=HYPERLINK(\"\"x\"\")\"") !=
          std::string::npos);
    CHECK(sql_number(hamlet.out() / "fuelring.gpkg", "select count(*) from addresses where "
                                                     "address = '=HYPERLINK(\"x\")'") == 1);
}
