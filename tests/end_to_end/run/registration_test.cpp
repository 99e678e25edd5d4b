// SPDX-License-Identifier: Apache-2.0

// Registration draws, worked out by hand: square houses on either side of a wide stand of conifers.
// A shift to the east brings one nearer to it and takes the other away.
#include "support/closed_forms.hpp"
#include "support/make_inputs.hpp"
#include "support/read_outputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

using namespace fuelring::test;

namespace {

constexpr double side_m = 12;
constexpr double west_gap_m = 2.0; // from the wall to the stand
constexpr double east_gap_m = 2.25;
constexpr double off_gap_m = 98.875; // of a house off the raster, to its edge
constexpr int draws = 32;
constexpr std::array<double, 4> ring_distances_m{1.5, 10, 30, 100};
constexpr std::array<double, 4> weights{0.35, 0.35, 0.20, 0.10};

struct Shift {
    double x, y;
};

/// The digits of k in a base, mirrored at the point.
double mirrored(int k, int base)
{
    double value = 0, place = 1.0 / base;
    for (; k > 0; k /= base, place /= base)
        value += place * (k % base);
    return value;
}

/// The shifts of numbers.md, "Registration": Halton's points on the disc of radius 1 m.
std::vector<Shift> halton_shifts()
{
    std::vector<Shift> shifts;
    for (int k = 0; k < draws; ++k) {
        const double r = std::sqrt(mirrored(k, 2));
        const double angle = 2 * std::numbers::pi * mirrored(k, 3);
        shifts.push_back({r * std::cos(angle), r * std::sin(angle)});
    }
    return shifts;
}

/// Conifer share of ring k where conifers begin at distance d.
double fraction(std::size_t k, double d)
{
    const double inner = k == 0 ? 0 : ring_distances_m[k - 1];
    return (beyond_line_m2(side_m, d, ring_distances_m[k]) - beyond_line_m2(side_m, d, inner)) /
           (grown_m2(side_m, ring_distances_m[k]) - grown_m2(side_m, inner));
}

double exposure(double d)
{
    double sum = 0;
    for (std::size_t k = 0; k < ring_distances_m.size(); ++k)
        sum += 100 * weights[k] * fraction(k, d);
    return sum;
}

/// Linear between order statistics.
double percentile_of(std::vector<double> values, double percent)
{
    std::sort(values.begin(), values.end());
    const double place = percent / 100 * static_cast<double>(values.size() - 1);
    const auto below = static_cast<std::size_t>(place);
    return values[below] + (place - static_cast<double>(below)) *
                               (values[std::min(below + 1, values.size() - 1)] - values[below]);
}

Shape house_at(const char* id, double x, double y)
{
    return {id, rectangle_wkt(x, y, x + side_m, y + side_m)};
}

class Stand {
public:
    Stand()
    {
        const fs::path& in = folder_.path();
        make_fuel(
            in / "fuel.tif",
            {650, 300, {600000, 1, 0, 5600300, 0, -1}, 32611, [](std::int64_t, std::int64_t col) {
                 return col >= 200 && col < 450 ? conifer : grass;
             }});
        make_layer(in / "structures.gpkg", "GPKG", "structure_id", 32611,
                   {house_at("A-west", 600200 - west_gap_m - side_m, 5600140),
                    house_at("B-east", 600450 + east_gap_m, 5600140.5),
                    house_at("C-off", 600100, 5600000 - off_gap_m - side_m)});
        make_layer(in / "neighbourhoods.gpkg", "GPKG", "name", 32611,
                   {{"West", rectangle_wkt(600000, 5600000, 600200, 5600300)},
                    {"East", rectangle_wkt(600450, 5600000, 600650, 5600300)}});
        config = hamlet_config(in);
        config.tables.erase("inputs.addresses");
        config("inputs.neighbourhoods", "path") = toml_text(in / "neighbourhoods.gpkg");
        config("inputs.neighbourhoods", "name") = toml_text("name");
    }
    fs::path run(const std::string& out)
    {
        config("output", "dir") = toml_text(folder_.path() / out);
        config.write(folder_.path() / "run.toml");
        must_succeed(run_fuelring({"map", folder_.path() / "run.toml"}));
        return folder_.path() / out;
    }

private:
    TempFolder folder_; // before the configuration, which names it

public:
    ConfigFile config;
};

nlohmann::json manifest_of(const fs::path& out)
{
    return nlohmann::json::parse(text_of(out / "run.json"));
}

} // namespace

TEST_CASE("percentiles and shares of draws are those of houses moved by hand")
{
    Stand stand;
    stand.config("uncertainty", "shift_m") = "1.0";
    stand.config("uncertainty", "draws") = std::to_string(draws);
    stand.config("uncertainty", "first") = std::to_string(1);
    const fs::path out = stand.run("out");
    const std::vector<Shift> shifts = halton_shifts();

    const auto rows =
        sql(out / "fuelring.gpkg",
            "select exposure_p05, exposure_p95, \"conifer_frac_p05_0_1.5m\", "
            "\"conifer_frac_p95_0_1.5m\", \"conifer_frac_p05_1.5_10m\", "
            "\"conifer_frac_p95_1.5_10m\", conifer_frac_p05_10_30m, conifer_frac_p95_10_30m, "
            "conifer_frac_p05_30_100m, conifer_frac_p95_30_100m, share_of_draws_in_first, "
            "draws_with_exposure from structures order by structure_id");
    REQUIRE(rows.size() == 3);
    double west_first = 0;
    for (const std::size_t row : {0, 1}) {
        CAPTURE(row);
        std::vector<double> gaps;
        for (const Shift& s : shifts)
            gaps.push_back(row == 0 ? west_gap_m - s.x : east_gap_m + s.x);
        // Coordinates of files are good to 5e-10 m; the narrowest ring is 1.5 m wide.
        const auto check = [&](std::size_t column, auto figure, double tolerance) {
            CAPTURE(column);
            std::vector<double> values;
            for (const double gap : gaps)
                values.push_back(figure(gap));
            CHECK(std::abs(rows[row][column].number.value() - percentile_of(values, 5)) <
                  tolerance);
            CHECK(std::abs(rows[row][column + 1].number.value() - percentile_of(values, 95)) <
                  tolerance);
        };
        check(0, exposure, 1e-7);
        for (std::size_t k = 0; k < ring_distances_m.size(); ++k)
            check(
                2 + 2 * k, [k](double gap) { return fraction(k, gap); }, 1e-9);
        CHECK(rows[row][11].number == draws);
    }
    // The houses are each other's mirror image: the nearer one is first.
    for (const Shift& s : shifts)
        west_first += west_gap_m - s.x < east_gap_m + s.x ? 1.0 / draws : 0;
    CHECK(west_first > 0.5);
    CHECK(west_first < 0.8);
    CHECK(rows[0][10].number == west_first);
    CHECK(rows[1][10].number == 1 - west_first);

    const Csv areas = read_csv(out / "neighbourhoods.csv");
    REQUIRE(areas.rows.size() == 4);
    CHECK(areas.cell(0, "neighbourhood") == "West"); // the first tenth of two is one
    CHECK(std::stod(areas.cell(0, "share_of_draws_in_first")) == west_first);
    CHECK(std::stod(areas.cell(1, "share_of_draws_in_first")) == 1 - west_first);
    CHECK(areas.cell(2, "share_of_draws_in_first").empty());
    // One house each: the means are its exposures. The CSV has 4 decimals.
    CHECK(std::abs(std::stod(areas.cell(0, "mean_exposure_p05")) - *rows[0][0].number) < 5.1e-5);
    CHECK(std::abs(std::stod(areas.cell(1, "mean_exposure_p95")) - *rows[1][1].number) < 5.1e-5);
}

TEST_CASE("a structure that only some draws bring onto the raster is counted in those")
{
    Stand stand;
    stand.config("uncertainty", "draws") = std::to_string(draws);
    const fs::path out = stand.run("out");
    int expected = 0; // draws that map a thousandth of its widest ring
    for (const Shift& s : halton_shifts())
        expected += beyond_line_m2(side_m, off_gap_m - s.y, 100) >=
                    1e-3 * (grown_m2(side_m, 100) - grown_m2(side_m, 30));
    CHECK(expected > 2);
    CHECK(expected < draws - 2);
    CHECK(sql_number(out / "fuelring.gpkg", "select draws_with_exposure from structures "
                                            "where structure_id = 'C-off'") == expected);
    CHECK(manifest_of(out)["uncertainty"]["structures_without_exposure_in_some_draws"] == 1);
}

TEST_CASE("draws change no figure of the run, and stand after all its columns")
{
    Stand stand;
    const fs::path plain = stand.run("plain");
    CHECK_FALSE(manifest_of(plain).contains("uncertainty"));
    stand.config("uncertainty", "shift_m") = "2.5";
    const fs::path drawn = stand.run("drawn");
    for (const char* file : {"addresses.csv", "neighbourhoods.csv"}) {
        CAPTURE(file);
        const Csv before = read_csv(plain / file);
        const Csv after = read_csv(drawn / file);
        REQUIRE(after.header.size() > before.header.size());
        const auto columns = static_cast<std::ptrdiff_t>(before.header.size());
        CHECK(std::equal(before.header.begin(), before.header.end(), after.header.begin()));
        for (std::size_t row = 0; row < before.rows.size(); ++row)
            CHECK(std::equal(before.rows[row].begin(), before.rows[row].end(),
                             after.rows[row].begin(), after.rows[row].begin() + columns));
    }
    CHECK(read_band(plain / "priority.tif").same_cells(read_band(drawn / "priority.tif")));

    const nlohmann::json manifest = manifest_of(drawn);
    const nlohmann::json& said = manifest["uncertainty"];
    CHECK(said["shift_m"] == 2.5);
    CHECK(said["draws"] == 32);
    CHECK(said["first_structures"] == 1);
    CHECK(said["first_neighbourhoods"] == 1);
    const auto caution = said["caution"].get<std::string>();
    CHECK(caution.find("not how well the raster tells conifers") != caution.npos);
    CHECK(manifest["timings"]["worker_seconds"]["draws"] > 0);
}

TEST_CASE(
    "a value outside the range of its own draws is flagged, and the method says how to quote it")
{
    Stand stand;
    const TempFolder folder;
    // Conifers everywhere but on the roof of A-west: any shift puts roof into its rings.
    make_fuel(
        folder.path() / "fuel.tif",
        {650, 300, {600000, 1, 0, 5600300, 0, -1}, 32611, [](std::int64_t row, std::int64_t col) {
             const bool roof = col >= 186 && col < 198 && row >= 148 && row < 160;
             return roof ? grass : conifer;
         }});
    stand.config("inputs.fuel", "path") = toml_text(folder.path() / "fuel.tif");
    stand.config("uncertainty", "shift_m") = "1.0";
    const fs::path out = stand.run("out");
    const auto rows = sql(out / "fuelring.gpkg", "select flags, exposure, exposure_p95 from "
                                                 "structures order by structure_id");
    REQUIRE(rows.size() == 3);
    CHECK(rows[0][0].text.value_or("").find("outside_draws") != std::string::npos);
    CHECK(*rows[0][1].number > *rows[0][2].number);
    CHECK(rows[1][0].text.value_or("").find("outside_draws") == std::string::npos);
    const Csv neighbourhoods = read_csv(out / "neighbourhoods.csv");
    for (std::size_t k = 0; k < neighbourhoods.rows.size(); ++k)
        CHECK((neighbourhoods.cell(k, "flags") == "outside_draws") ==
              (std::stod(neighbourhoods.cell(k, "mean_exposure")) >
               std::stod(neighbourhoods.cell(k, "mean_exposure_p95"))));
    const nlohmann::json manifest = manifest_of(out);
    CHECK(manifest["uncertainty"]["structures_outside_draws"] == 1);
    const auto method = manifest["method"].get<std::string>();
    CHECK(method.find("For 1 building(s) the value lies outside its own range") != method.npos);
    CHECK(method.find("if the maps are misaligned by up to 1 m") != method.npos);
}
