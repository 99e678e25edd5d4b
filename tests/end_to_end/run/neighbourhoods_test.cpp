// SPDX-License-Identifier: Apache-2.0

// neighbourhoods.csv and its layer, worked out by hand: conifers over all of the west, lawn in the
// east, square houses.
#include "support/make_inputs.hpp"
#include "support/read_outputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <array>
#include <cmath>
#include <numbers>

using namespace fuelring::test;

namespace {

constexpr double pi = std::numbers::pi;
constexpr std::array<double, 4> distances_m{1.5, 10, 30, 100};
constexpr std::int64_t lawn_col = 400; // conifers end at x = 600400

Shape house(const char* id, double x, double y)
{
    return {id, rectangle_wkt(x, y, x + 10, y + 10)};
}

/// Twin houses that share a wall, two copies of one outline, houses on the lawn.
class Valley {
public:
    Valley()
    {
        const fs::path& in = folder_.path();
        make_fuel(
            in / "fuel.tif",
            {800, 500, {600000, 1, 0, 5600500, 0, -1}, 32611, [](std::int64_t, std::int64_t col) {
                 return col < lawn_col ? conifer : grass;
             }});
        make_layer(in / "structures.gpkg", "GPKG", "structure_id", 32611,
                   {house("T-1", 600110, 5600200), house("T-2", 600120, 5600200),
                    house("D-1", 600280, 5600200), house("D-2", 600280, 5600200),
                    house("L-1", 600550, 5600200), house("X-1", 600650, 5600300)});
        make_layer(in / "neighbourhoods.gpkg", "GPKG", "name", 32611,
                   {{"Twins", rectangle_wkt(600000, 5600100, 600200, 5600400)},
                    {"Lawn", rectangle_wkt(600500, 5600100, 600600, 5600250)},
                    {"Copies", rectangle_wkt(600200, 5600100, 600400, 5600400)},
                    {"=Nobody", rectangle_wkt(600000, 5600000, 600100, 5600050)}});
        config = hamlet_config(in);
        config.tables.erase("inputs.addresses");
        config("inputs.neighbourhoods", "path") = toml_text(in / "neighbourhoods.gpkg");
        config("inputs.neighbourhoods", "name") = toml_text("name");
    }
    /// Takes the id for an attribute with these rows of multipliers.
    void multiply(const std::string& rows, const std::string& unknown)
    {
        const fs::path csv = folder_.path() / "multipliers.csv";
        write_text(csv, "value,label,multiplier,source\n" + rows);
        config("inputs.structures", "attributes") =
            "[{column = 'structure_id', multipliers = " + toml_text(csv) +
            ", unknown = " + unknown + "}]";
    }
    fs::path run() const
    {
        config.write(folder_.path() / "run.toml");
        must_succeed(run_fuelring({"map", folder_.path() / "run.toml"}));
        return folder_.path() / "out";
    }

    void move_neighbourhoods_away()
    {
        const fs::path far = folder_.path() / "far.gpkg";
        make_layer(far, "GPKG", "name", 32611,
                   {{"Twins", rectangle_wkt(700000, 5600100, 700200, 5600400)}});
        config("inputs.neighbourhoods", "path") = toml_text(far);
    }
    /// Lines on stderr of `check`.
    std::string messages() const
    {
        config.write(folder_.path() / "run.toml");
        const ProgramResult result = run_fuelring({"check", folder_.path() / "run.toml"});
        REQUIRE(result.exit_code == 0);
        return result.err;
    }

    ConfigFile config;

private:
    TempFolder folder_;
};

/// Hectares of a column of a row, from the layer: full doubles.
double hectares(const fs::path& out, const std::string& name, const char* prefix, double r_m)
{
    return sql_number(
        out / "fuelring.gpkg",
        fmt::format("select \"{}_{}m\" from neighbourhoods where neighbourhood = '{}'", prefix, r_m,
                    name));
}

} // namespace

TEST_CASE("neighbourhoods are ranked by mean exposure; outside and community come last")
{
    const Valley valley;
    const Csv csv = read_csv(valley.run() / "neighbourhoods.csv");
    const std::vector<std::string> header = {"rank",
                                             "neighbourhood",
                                             "structures",
                                             "structures_measured",
                                             "structures_known_within_10m",
                                             "structures_conifer_within_10m",
                                             "mean_exposure",
                                             "p90_exposure",
                                             "sum_exposure",
                                             "conifer_ha_within_1.5m",
                                             "conifer_ha_within_10m",
                                             "conifer_ha_within_30m",
                                             "conifer_ha_within_100m",
                                             "sum_conifer_ha_within_1.5m",
                                             "sum_conifer_ha_within_10m",
                                             "sum_conifer_ha_within_30m",
                                             "sum_conifer_ha_within_100m"};
    CHECK(csv.header == header);
    // Exposure is 100 among conifers, 0 on the lawn. Equal means share a rank and stand by name.
    // Of 100, 100, 100, 100, 0, 0 the place of p90 is 0.9 x 5 = 4.5: 100.
    const std::vector<std::string> rows = {"1,Copies,2,2,2,2,100.0000,100.0000,200.0000",
                                           "1,Twins,2,2,2,2,100.0000,100.0000,200.0000",
                                           "3,Lawn,1,1,1,0,0.0000,0.0000,0.0000",
                                           ",'=Nobody,0,0,0,0,,,",
                                           ",(outside),1,1,1,0,0.0000,0.0000,0.0000",
                                           ",(community),6,6,6,4,66.6667,100.0000,400.0000"};
    REQUIRE(csv.rows.size() == rows.size());
    for (std::size_t row = 0; row < rows.size(); ++row) {
        std::string start;
        for (std::size_t k = 0; k < 9; ++k)
            start += (k ? "," : "") + csv.rows[row][k];
        CHECK(start == rows[row]);
    }
    CHECK(csv.cell(0, "conifer_ha_within_10m") == "0.071"); // 714.159 m2
    CHECK(csv.cell(2, "conifer_ha_within_100m") == "0.000");
    CHECK(csv.cell(3, "conifer_ha_within_100m").empty()); // nothing to say, not none
}

TEST_CASE("hectares of a neighbourhood are those of its houses taken as one")
{
    const Valley valley;
    const fs::path out = valley.run();
    for (const double r_m : distances_m) {
        CAPTURE(r_m);
        // Steiner's formula: outside a convex outline of perimeter P lie P r + pi r^2. The copies
        // are one square, the twins a rectangle of 20 x 10 m.
        const double square_ha = (40 * r_m + pi * r_m * r_m) / 1e4;
        const double twins_ha = (60 * r_m + pi * r_m * r_m) / 1e4;
        // Twins and copies are 150 m apart. Within 100 m they share two caps that begin 75 m from
        // the wall: a strip along it and the segments of two quarter circles.
        double shared_ha = 0;
        if (r_m > 75)
            shared_ha = 2 *
                        (10 * (r_m - 75) + r_m * r_m * std::acos(75 / r_m) -
                         75 * std::sqrt(r_m * r_m - 75 * 75)) /
                        1e4;
        const auto close = [](double value, double exact) {
            return std::abs(value - exact) < 1e-11 * exact;
        };
        CHECK(close(hectares(out, "Copies", "conifer_ha_within", r_m), square_ha));
        CHECK(close(hectares(out, "Twins", "conifer_ha_within", r_m), twins_ha));
        CHECK(close(hectares(out, "(community)", "conifer_ha_within", r_m),
                    square_ha + twins_ha - shared_ha));
        CHECK(close(hectares(out, "Copies", "sum_conifer_ha_within", r_m), 2 * square_ha));
        CHECK(close(hectares(out, "Twins", "sum_conifer_ha_within", r_m), 2 * square_ha));
        CHECK(close(hectares(out, "(community)", "sum_conifer_ha_within", r_m), 4 * square_ha));
        CHECK(hectares(out, "Lawn", "conifer_ha_within", r_m) == 0);
    }
}

TEST_CASE("the layer of neighbourhoods holds the table and the polygons of the input")
{
    const Valley valley;
    const fs::path out = valley.run();
    const fs::path gpkg = out / "fuelring.gpkg";
    const Csv csv = read_csv(out / "neighbourhoods.csv");
    const auto rows = sql(gpkg, "select neighbourhood, structures, geom is null from "
                                "neighbourhoods order by fid");
    REQUIRE(rows.size() == csv.rows.size());
    for (std::size_t row = 0; row < rows.size(); ++row) {
        const std::string name = rows[row][0].text.value();
        CHECK(csv.cell(row, "neighbourhood") == (name.starts_with('=') ? "'" : "") + name);
        CHECK(csv.cell(row, "structures") == fmt::format("{}", rows[row][1].number.value()));
        CHECK(rows[row][2].number.value() == (name.starts_with('(') ? 1 : 0));
    }
    const auto box = sql(gpkg, "select min_x, min_y, max_x, max_y from gpkg_contents where "
                               "table_name = 'neighbourhoods'");
    CHECK(box.at(0)[0].number == 600000);
    CHECK(box.at(0)[1].number == 5600000);
    CHECK(box.at(0)[2].number == 600600);
    CHECK(box.at(0)[3].number == 5600400);
}

TEST_CASE("multipliers of attributes are a column of their own, and rank where that is chosen")
{
    Valley valley;
    valley.multiply("T-1,shingles,2,test\nT-2,tiles,0.5,test\nD-1,metal,1.5,test\n", "1");
    const auto figures = [](const fs::path& out) {
        std::string text;
        for (const SqlRow& row :
             sql(out / "fuelring.gpkg", "select rank, structure_id, exposure, susceptibility, "
                                        "exposure_x_susceptibility from structures order by fid"))
            text +=
                fmt::format("{} {} {:g} {:g} {:g}; ", row[0].number.value(), row[1].text.value(),
                            row[2].number.value(), row[3].number.value(), row[4].number.value());
        return text;
    };
    const fs::path out = valley.run();
    CHECK(figures(out) == "1 D-1 100 1.5 150; 1 D-2 100 1 100; 5 L-1 0 1 0; 1 T-1 100 2 200; "
                          "1 T-2 100 0.5 50; 5 X-1 0 1 0; ");
    const Csv csv = read_csv(out / "addresses.csv");
    CHECK(csv.header[csv.header.size() - 3] == "flags");
    CHECK(csv.header[csv.header.size() - 2] == "susceptibility");
    CHECK(csv.header.back() == "exposure_x_susceptibility");

    valley.config("output", "rank_by") = "'exposure_x_susceptibility'";
    const fs::path ranked = valley.run();
    CHECK(figures(ranked) == "2 D-1 100 1.5 150; 3 D-2 100 1 100; 5 L-1 0 1 0; 1 T-1 100 2 200; "
                             "4 T-2 100 0.5 50; 5 X-1 0 1 0; ");
    CHECK(read_csv(ranked / "addresses.csv").cell(0, "structure_id") == "T-1");
    // Both means are 125: a tie, by name.
    const Csv areas = read_csv(ranked / "neighbourhoods.csv");
    CHECK(areas.header.back() == "mean_exposure_x_susceptibility");
    CHECK(areas.cell(0, "neighbourhood") == "Copies");
    CHECK(areas.cell(0, "mean_exposure_x_susceptibility") == "125.0000");
    CHECK(areas.cell(1, "mean_exposure_x_susceptibility") == "125.0000");
    CHECK(areas.cell(1, "mean_exposure") == "100.0000");
    CHECK(areas.cell(1, "rank") == "1");
    CHECK(areas.cell(5, "mean_exposure_x_susceptibility") == "83.3333");

    valley.multiply("T-1,shingles,2,test\nT-2,tiles,1,test\nD-1,metal,1,test\n", "1");
    CHECK(read_csv(valley.run() / "neighbourhoods.csv").cell(0, "neighbourhood") == "Twins");
}

TEST_CASE("without neighbourhoods the table is the row of the community")
{
    Valley valley;
    valley.config.tables.erase("inputs.neighbourhoods");
    const Csv csv = read_csv(valley.run() / "neighbourhoods.csv");
    REQUIRE(csv.rows.size() == 1);
    CHECK(csv.cell(0, "neighbourhood") == "(community)");
    CHECK(csv.cell(0, "structures") == "6");
}

TEST_CASE("neighbourhoods that hold no structure are warned of: they are of another place")
{
    Valley valley;
    CHECK(valley.messages().find("no structure lies in a neighbourhood") == std::string::npos);
    valley.move_neighbourhoods_away();
    const std::string messages = valley.messages();
    CHECK(messages.find("no structure lies in a neighbourhood of ") != std::string::npos);
    CHECK(messages.find("inputs.neighbourhoods.crs") != std::string::npos);
}
