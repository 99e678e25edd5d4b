// SPDX-License-Identifier: Apache-2.0

// Conifer area by owner, through files.
#include "support/closed_forms.hpp"
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cmath>
#include <map>

using namespace fuelring::test;

namespace {

const std::array<std::string, 4> rings{"0_1.5m", "1.5_10m", "10_30m", "30_100m"};
constexpr std::array outer_m{1.5, 10.0, 30.0, 100.0};

void add_parcels(ConfigFile& config, const fs::path& file)
{
    config("inputs.parcels", "path") = toml_text(file);
    config("inputs.parcels", "owner") = toml_text("owner");
}

/// Runs the sample with a parcel layer.
fs::path map_sample(const fs::path& folder, const fs::path& parcels, const std::string& name)
{
    ConfigFile config = sample_config(sample_data());
    add_parcels(config, parcels);
    config.write(folder / "run.toml");
    must_succeed(run_fuelring({"map", folder / "run.toml", "--out", folder / name}));
    return folder / name;
}

/// The sum of the shares of ring L, in SQL.
std::string sum_of_shares(const std::string& ring)
{
    return fmt::format("\"conifer_m2_own_{0}\" + \"conifer_m2_other_private_{0}\" + "
                       "\"conifer_m2_crown_{0}\" + \"conifer_m2_municipal_{0}\" + "
                       "\"conifer_m2_no_parcel_{0}\"",
                       ring);
}

} // namespace

TEST_CASE("on the sample the shares of every ring add up to its conifer area")
{
    const TempFolder folder;
    const fs::path out = map_sample(folder.path(), sample_data() / "parcels.gpkg", "out");
    std::size_t compared = 0;
    for (const std::string& ring : rings) {
        CAPTURE(ring);
        for (const SqlRow& row :
             sql(out / "fuelring.gpkg",
                 fmt::format("select \"conifer_m2_{0}\", {1} from structures where "
                             "\"conifer_m2_{0}\" is not null",
                             ring, sum_of_shares(ring)))) {
            const double whole = row[0].number.value();
            // Shares that are rounding only (below 1e-9 m2) are written as 0.
            CHECK(std::abs(row[1].number.value() - whole) <= 1e-9 * whole + 5e-9);
            ++compared;
        }
    }
    CHECK(compared > 1000);
    const double on_own =
        sql_number(out / "fuelring.gpkg",
                   "select count(*) from structures where \"conifer_m2_own_10_30m\" > 1");
    CHECK(on_own > 100);
    // Canopy over a roof stands at distance 0; what summing along its outline rounds is none.
    CHECK(sql_number(out / "fuelring.gpkg",
                     "select count(*) from structures where flags like '%canopy_on_roof%'") > 0);
    CHECK(sql_number(out / "fuelring.gpkg",
                     "select count(*) from structures where flags like '%canopy_on_roof%' and "
                     "nearest_conifer_m > 0") == 0);
}

TEST_CASE("on the sample the hectares by owner add up to those of every neighbourhood")
{
    const TempFolder folder;
    const fs::path out = map_sample(folder.path(), sample_data() / "parcels.gpkg", "out");
    for (const char* d : {"1.5m", "10m", "30m", "100m"}) {
        CAPTURE(d);
        const auto rows = sql(
            out / "fuelring.gpkg",
            fmt::format("select \"conifer_ha_within_{0}\", \"conifer_ha_within_{0}_private\" + "
                        "\"conifer_ha_within_{0}_crown\" + \"conifer_ha_within_{0}_municipal\" + "
                        "\"conifer_ha_within_{0}_no_parcel\", "
                        "\"conifer_ha_within_{0}_private\" from neighbourhoods",
                        d));
        REQUIRE(rows.size() == 7); // five, outside, community
        for (const SqlRow& row : rows) {
            const double whole = row[0].number.value();
            // A structure's own shares below 1e-9 m2 are taken as rounding: 272 x 5 of them.
            CHECK(std::abs(row[1].number.value() - whole) <= 1e-9 * whole + 2e-10);
            CHECK(row[2].number.value() <= whole);
        }
    }
}

TEST_CASE("a parcel layer in another CRS gives the same shares")
{
    const TempFolder folder;
    const fs::path other = folder.path() / "parcels.geojson";
    reproject_layer(sample_data() / "parcels.gpkg", other, "GeoJSON", 4326);
    const fs::path here = map_sample(folder.path(), sample_data() / "parcels.gpkg", "here");
    const fs::path there = map_sample(folder.path(), other, "there");
    const Csv a = read_csv(here / "addresses.csv");
    const Csv b = read_csv(there / "addresses.csv");
    REQUIRE(a.header == b.header);
    // GeoJSON has 7 decimals of a degree: corners move by up to 8 mm, so a share by 8 mm times the
    // length of the lines in its ring. A square kilometre of lots has no more than 100 km of them.
    std::size_t compared = 0;
    for (std::size_t row = 0; row < a.rows.size(); ++row)
        for (std::size_t ring = 0; ring < rings.size(); ++ring) {
            const double reach_m = 2 * outer_m[ring] + 40;
            const double slack_m2 = 0.008 * 0.1 * reach_m * reach_m + 0.1;
            for (const char* share : {"own", "other_private", "crown", "municipal", "no_parcel"}) {
                const std::string name = fmt::format("conifer_m2_{}_{}", share, rings[ring]);
                const std::string& x = a.cell(row, name);
                const std::string& y = b.cell(row, name);
                REQUIRE(x.empty() == y.empty());
                if (x.empty())
                    continue;
                CAPTURE(name);
                CHECK(std::abs(std::stod(x) - std::stod(y)) <= slack_m2);
                ++compared;
            }
        }
    CHECK(compared > 4000);
}

TEST_CASE("ground beyond a parcel line is a rounded square's segment, also along the very wall")
{
    constexpr double side_m = 11.625; // 1/1024 m fit, so files and the lattice hold it exactly
    constexpr std::array distances_m{0.0, 0.375, 3.75, 12.0 + 1.0 / 1024, 55.5};
    Hamlet hamlet;
    make_fuel(hamlet.folder() / "fuel.tif",
              {hamlet_cells, hamlet_cells, hamlet_transform, 32611,
               [](std::int64_t, std::int64_t) { return int{conifer}; }});
    std::vector<Shape> houses;
    for (std::size_t k = 0; k < distances_m.size(); ++k) {
        const double x1 = 600185 - distances_m[k];
        const double y0 = 5600140 + 3.125 * static_cast<double>(k);
        houses.push_back(
            {fmt::format("house {}", k), rectangle_wkt(x1 - side_m, y0, x1, y0 + side_m)});
    }
    fs::remove(hamlet.folder() / "structures.gpkg");
    make_layer(hamlet.folder() / "structures.gpkg", "GPKG", "structure_id", 32611, houses);
    make_layer(hamlet.folder() / "lots.gpkg", "GPKG", "owner", 32611,
               {{"Private", rectangle_wkt(599900, 5599900, 600185, 5600500)},
                {"Crown land", rectangle_wkt(600185, 5599900, 600400, 5600500)}});
    add_parcels(hamlet.config, hamlet.folder() / "lots.gpkg");
    must_succeed(hamlet.run("map"));
    for (std::size_t ring = 0; ring < rings.size(); ++ring) {
        const auto rows = sql(hamlet.out() / "fuelring.gpkg",
                              fmt::format("select \"conifer_m2_crown_land_{0}\", "
                                          "\"conifer_m2_own_{0}\", \"ring_m2_{0}\", owner "
                                          "from structures order by structure_id",
                                          rings[ring]));
        REQUIRE(rows.size() == distances_m.size());
        for (std::size_t k = 0; k < rows.size(); ++k) {
            CAPTURE(ring);
            CAPTURE(k);
            const double inner_m = ring == 0 ? 0 : outer_m[ring - 1];
            const double beyond = beyond_line_m2(side_m, distances_m[k], outer_m[ring]) -
                                  beyond_line_m2(side_m, distances_m[k], inner_m);
            const double whole = rows[k][2].number.value();
            CHECK(std::abs(rows[k][0].number.value() - beyond) <= 1e-9 * whole);
            CHECK(std::abs(rows[k][1].number.value() - (whole - beyond)) <= 1e-9 * whole);
            CHECK(rows[k][3].text.value() == "private");
        }
    }
}

TEST_CASE("a strip claimed twice is drawing noise and parcels without owner are unknown ground")
{
    Hamlet hamlet;
    // Two lots overlap by 5 cm, a third has no owner; the rest of the hamlet is no parcel.
    make_layer(hamlet.folder() / "lots.gpkg", "GPKG", "owner", 32611,
               {{"private", rectangle_wkt(600090, 5600100, 600125.05, 5600200)},
                {"Town (parks)", rectangle_wkt(600125, 5600100, 600145, 5600200)},
                {"", rectangle_wkt(600145, 5600100, 600175, 5600200)}});
    add_parcels(hamlet.config, hamlet.folder() / "lots.gpkg");
    const ProgramResult run = must_succeed(hamlet.run("map"));
    CHECK(
        run.err.find("1 pair of parcels overlaps by less than a drawing errs: the ground is taken "
                     "as the first one's: 1 and 2 (") != std::string::npos);
    CHECK(run.err.find("1 parcel has no owner: their class is 'unknown': 3") != std::string::npos);
    for (const std::string& ring : rings) {
        CAPTURE(ring);
        std::size_t compared = 0;
        for (const SqlRow& row :
             sql(hamlet.out() / "fuelring.gpkg",
                 fmt::format("select \"conifer_m2_{0}\", \"conifer_m2_own_{0}\" + "
                             "\"conifer_m2_other_private_{0}\" + \"conifer_m2_town_parks_{0}\" + "
                             "\"conifer_m2_unknown_{0}\" + \"conifer_m2_no_parcel_{0}\" "
                             "from structures where \"conifer_m2_{0}\" is not null",
                             ring))) {
            const double whole = row[0].number.value();
            CHECK(std::abs(row[1].number.value() - whole) <= 1e-9 * whole + 5e-9);
            ++compared;
        }
        CHECK(compared >= 4);
    }
    const auto owners = sql(hamlet.out() / "fuelring.gpkg",
                            "select owner from structures order by structure_id limit 4");
    CHECK(owners[0][0].text == "private");
    CHECK(owners[1][0].text == "town_parks");
    CHECK(owners[2][0].text == "unknown");
    CHECK(owners[3][0].is_null()); // stands on no parcel
}

TEST_CASE("a clear lot beside a neighbour's hedge is flagged and no other")
{
    Hamlet hamlet;
    // Conifers east of x = 600150 only. The first house is 5 m from them, its lot ends where they
    // begin; the second's lot reaches into them; the third is far from all.
    make_fuel(hamlet.folder() / "fuel.tif",
              {hamlet_cells, hamlet_cells, hamlet_transform, 32611,
               [](std::int64_t, std::int64_t col) { return col >= 150 ? conifer : grass; }});
    fs::remove(hamlet.folder() / "structures.gpkg");
    make_layer(hamlet.folder() / "structures.gpkg", "GPKG", "structure_id", 32611,
               {{"1 beside", rectangle_wkt(600135, 5600120, 600145, 5600130)},
                {"2 own", rectangle_wkt(600135, 5600160, 600145, 5600170)},
                {"3 far", rectangle_wkt(600105, 5600120, 600115, 5600130)}});
    make_layer(hamlet.folder() / "lots.gpkg", "GPKG", "owner", 32611,
               {{"Private", rectangle_wkt(600120, 5600110, 600150, 5600145)},
                {"private", rectangle_wkt(600120, 5600145, 600152, 5600190)},
                {"PRIVATE", rectangle_wkt(600150, 5600110, 600190, 5600145)},
                {"private", rectangle_wkt(600090, 5600110, 600120, 5600145)}});
    add_parcels(hamlet.config, hamlet.folder() / "lots.gpkg");
    must_succeed(hamlet.run("map"));
    const auto rows =
        sql(hamlet.out() / "fuelring.gpkg", "select flags from structures order by structure_id");
    REQUIRE(rows.size() == 3);
    const auto flagged = [&](std::size_t row) {
        return rows[row][0].text.value_or("").find("neighbours_conifer") != std::string::npos;
    };
    CHECK(flagged(0));
    CHECK_FALSE(flagged(1));
    CHECK_FALSE(flagged(2));
}
