// SPDX-License-Identifier: Apache-2.0

// `fuelring change` on made grounds whose change is known, and its laws on the sample.
#include "strips.hpp"
#include "support/change_runs.hpp"

#include <nlohmann/json.hpp>

#include <cmath>

using namespace fuelring::test;

namespace {

/// East of the house: conifers from 1 to 60 m from its wall, of which 5 to 20 m are treated, and
/// new ones from 60 to 75 m.
int strips_before(double x, double)
{
    const double d = x - house_m / 2;
    return d > 1 && d < 60 ? conifer : grass;
}
int strips_after(double x, double y)
{
    const double d = x - house_m / 2;
    return d > 5 && d < 20 ? grass : d > 60 && d < 75 ? conifer : strips_before(x, y);
}

void check_strips(const fs::path& out)
{
    for (std::size_t k = 0; k < rings.size(); ++k) {
        CAPTURE(rings[k]);
        const double slack_ha = 1e-9 * ring_m2(k) / 1e4;
        const auto near = [&](const char* column, double m2) {
            CAPTURE(column);
            CHECK(std::abs(change_ha(out, column, rings[k]) - m2 / 1e4) <= slack_ha);
        };
        near("ground_ha", ring_m2(k));
        near("compared_ha", ring_m2(k));
        near("removed_ha", strip_in_ring_m2(5, 20, k));
        near("regrown_ha", strip_in_ring_m2(60, 75, k));
        near("unchanged_ha", strip_in_ring_m2(1, 5, k) + strip_in_ring_m2(20, 60, k));
        near("net_change_ha", strip_in_ring_m2(60, 75, k) - strip_in_ring_m2(5, 20, k));
        near("mapped_never_ha", 0);
    }
}

double exposure_sum(const fs::path& run)
{
    return sql_number(run / "fuelring.gpkg", "select sum(exposure) from structures");
}

double by_fuel_sum(const fs::path& out)
{
    return sql_number(out / "change.gpkg", "select sum(change_by_fuel) from change_structures");
}

} // namespace

TEST_CASE("hectares of treated strips by ring equal their closed forms")
{
    const ChangeRuns runs;
    const std::vector<Shape> house{square_house("H", 0, 0, house_m)};
    runs.map("before", {house, strips_before});
    runs.map("after", {house, strips_after});
    const fs::path out = runs.changed("before", "after", "out");
    check_strips(out);
    for (std::size_t k = 0; k < rings.size(); ++k)
        CHECK(std::abs(sql_number(out / "change.gpkg",
                                  fmt::format("select \"removed_m2_{}\" from change_structures",
                                              rings[k])) -
                       strip_in_ring_m2(5, 20, k)) <= 1e-9 * ring_m2(k));
}

TEST_CASE("hectares of treated strips by owner equal their closed forms")
{
    const ChangeRuns runs;
    const std::vector<Shape> house{square_house("H", 0, 0, house_m)};
    // A parcel line 12 m from the wall, through the treated strip; beyond 40 m no parcel.
    const double wall = house_m / 2;
    runs.map("before", {house, strips_before});
    runs.map("after", {.structures = house,
                       .code_at = strips_after,
                       .parcels = {ground("Private", -190, -190, wall + 12, 190),
                                   ground("Crown land", wall + 12, -190, wall + 40, 190)}});
    const fs::path out = runs.changed("before", "after", "out");
    const auto near = [&](const char* owner, const char* column, std::size_t k, double m2) {
        CAPTURE(owner);
        CAPTURE(column);
        CAPTURE(rings[k]);
        const double ha =
            sql_number(out / "change.gpkg",
                       fmt::format("select \"{}\" from change_areas where scope = 'owner' and "
                                   "name = '{}' and distance = '{}'",
                                   column, owner, rings[k]));
        CHECK(std::abs(ha * 1e4 - m2) <= 1e-9 * ring_m2(k));
    };
    for (std::size_t k = 0; k < rings.size(); ++k) {
        near("private", "removed_ha", k, strip_in_ring_m2(5, 12, k));
        near("crown_land", "removed_ha", k, strip_in_ring_m2(12, 20, k));
        near("no_parcel", "removed_ha", k, 0);
        near("private", "unchanged_ha", k, strip_in_ring_m2(1, 5, k));
        near("crown_land", "unchanged_ha", k, strip_in_ring_m2(20, 40, k));
        near("no_parcel", "unchanged_ha", k, strip_in_ring_m2(40, 60, k));
        near("no_parcel", "regrown_ha", k, strip_in_ring_m2(60, 75, k));
        near("no_parcel", "ground_ha", k, strip_in_ring_m2(40, 200, k));
    }
}

TEST_CASE("on the sample the classes of owners add up to the community")
{
    const ChangeRuns runs;
    ConfigFile config = sample_config(sample_data());
    config("inputs.parcels", "path") = toml_text(sample_data() / "parcels.gpkg");
    config("inputs.parcels", "owner") = toml_text("owner");
    runs.map("a", config);
    config("inputs.fuel", "path") = toml_text(sample_data() / "fuel_later.tif");
    runs.map("b", config);
    const fs::path out = runs.changed("a", "b", "out");
    for (const char* column : {"ground_ha", "compared_ha", "removed_ha", "regrown_ha",
                               "unchanged_ha", "mapped_never_ha"}) {
        CAPTURE(column);
        const std::string sums =
            fmt::format("select distance, sum(\"{0}\") from change_areas where scope = '{{}}' "
                        "group by distance order by distance",
                        column);
        const auto whole = sql(out / "change.gpkg", fmt::format(fmt::runtime(sums), "community"));
        const auto parts = sql(out / "change.gpkg", fmt::format(fmt::runtime(sums), "owner"));
        REQUIRE(whole.size() == 8);
        REQUIRE(parts.size() == 8);
        for (std::size_t k = 0; k < whole.size(); ++k) {
            const double ha = whole[k][1].number.value();
            CHECK(std::abs(parts[k][1].number.value() - ha) <= 1e-9 * ha + 1e-11);
        }
    }
    // No part is missing: the three classes of the sample's parcels, and ground that is none.
    CHECK(sql_number(out / "change.gpkg", "select count(distinct name) from change_areas where "
                                          "scope = 'owner'") == 4);
}

TEST_CASE("rasters of other cell sizes, corners and directions are compared by exact overlap")
{
    const ChangeRuns runs;
    const std::vector<Shape> house{square_house("H", 0, 0, house_m)};
    // Every edge of a strip lies on a line of each raster: they see the same ground.
    runs.map("whole", {house, strips_before, 1});
    runs.map("half", {.structures = house,
                      .code_at = strips_after,
                      .cell_m = 0.5,
                      .shift_x_m = -7.5,
                      .shift_y_m = 3.5});
    runs.map("south up",
             {.structures = house, .code_at = strips_after, .cell_m = 0.25, .south_up = true});
    check_strips(runs.changed("whole", "half", "finer"));
    check_strips(runs.changed("whole", "south up", "turned"));

    runs.map("same ground", {house, strips_after, 1});
    for (const char* fine : {"half", "south up"}) {
        const fs::path out = runs.changed("same ground", fine, std::string{"none "} + fine);
        for (const char* ring : rings) {
            CHECK(change_ha(out, "removed_ha", ring) == 0);
            CHECK(change_ha(out, "regrown_ha", ring) == 0);
        }
    }
}

TEST_CASE("cells that straddle those of the other raster are cut, not resampled")
{
    const ChangeRuns runs;
    const std::vector<Shape> house{square_house("H", 0, 0, house_m)};
    // Cells of 1 m whose lines lie 0.25 m further east. Conifers from 5 to 20 m of the wall before,
    // from 5.25 to 19.25 m after: 0.25 m are lost in the west and 0.75 m in the east.
    const auto before = [](double x, double) {
        return x - house_m / 2 > 5 && x - house_m / 2 < 20 ? conifer : grass;
    };
    const auto after = [](double x, double) {
        return x - house_m / 2 > 5.25 && x - house_m / 2 < 19.25 ? conifer : grass;
    };
    runs.map("before", {house, before});
    runs.map("after", {.structures = house, .code_at = after, .shift_x_m = 0.25});
    const fs::path out = runs.changed("before", "after", "out");
    for (std::size_t k = 1; k < 3; ++k) {
        const double m2 = strip_in_ring_m2(5, 5.25, k) + strip_in_ring_m2(19.25, 20, k);
        CHECK(std::abs(change_ha(out, "removed_ha", rings[k]) * 1e4 - m2) <= 1e-9 * ring_m2(k));
        CHECK(change_ha(out, "regrown_ha", rings[k]) == 0);
    }
}

TEST_CASE("on the sample forth and back mirror each other, and a run has not changed from itself")
{
    const ChangeRuns runs;
    ConfigFile config = sample_config(sample_data());
    runs.map("a", config);
    config("inputs.fuel", "path") = toml_text(sample_data() / "fuel_later.tif");
    config("inputs.fuel", "date") = toml_text("2025-08-01");
    runs.map("b", config);
    const fs::path forth = runs.changed("a", "b", "forth");
    const fs::path back = runs.changed("b", "a", "back");
    const auto remarks = [](const fs::path& out) {
        return nlohmann::json::parse(text_of(out / "run.json")).at("remarks").dump();
    };
    const char* reversed = "BEFORE's imagery (2025-08-01) is later than AFTER's (2024-07-15)";
    CHECK(remarks(forth).find(reversed) == std::string::npos);
    CHECK(remarks(back).find(reversed) != std::string::npos);
    const char* rows = "select scope, name, distance, {}, {}, {}, {} from change_areas "
                       "order by scope, name, distance";
    const auto there =
        sql(forth / "change.gpkg", fmt::format(fmt::runtime(rows), "removed_ha", "regrown_ha",
                                               "unchanged_ha", "net_change_ha"));
    const auto again =
        sql(back / "change.gpkg", fmt::format(fmt::runtime(rows), "regrown_ha", "removed_ha",
                                              "unchanged_ha", "-net_change_ha"));
    REQUIRE(there.size() == again.size());
    REQUIRE(there.size() > 40);
    for (std::size_t k = 0; k < there.size(); ++k) {
        CHECK(there[k][1].text == again[k][1].text);
        for (std::size_t c = 3; c < 7; ++c) // the same cells in the same order: to the bit
            CHECK(there[k][c].number.value() == again[k][c].number.value());
    }
    CHECK(by_fuel_sum(forth) == doctest::Approx(-by_fuel_sum(back)).epsilon(1e-12));

    const fs::path none = runs.changed("a", "a", "none");
    CHECK(sql_number(none / "change.gpkg",
                     "select max(abs(removed_ha) + abs(regrown_ha) + abs(net_change_ha)) "
                     "from change_areas") == 0);
    CHECK(sql_number(none / "change.gpkg", "select max(abs(exposure_change) + abs(change_by_fuel)) "
                                           "from change_structures") == 0);
    const Band kinds = read_band(none / "change.tif");
    CHECK(std::none_of(kinds.cells.begin(), kinds.cells.end(),
                       [](float v) { return v == 1 || v == 2 || v == 6; }));
}

TEST_CASE("on the sample the change of exposures is that of the fuel, and areas are the runs' own")
{
    const ChangeRuns runs;
    ConfigFile config = sample_config(sample_data());
    runs.map("a", config);
    config("inputs.fuel", "path") = toml_text(sample_data() / "fuel_later.tif");
    runs.map("b", config);
    const fs::path out = runs.changed("a", "b", "out");
    // Both dates have the same gap in the imagery, so all change is of fuel.
    const double sum = exposure_sum(runs.path("a"));
    CHECK(std::abs(by_fuel_sum(out) - (exposure_sum(runs.path("b")) - sum)) <= 1e-9 * sum);
    CHECK(sql_number(out / "change.gpkg",
                     "select max(abs(change_otherwise)) from change_structures") <= 1e-9);
    // Conifer hectares of each date are those of neighbourhoods.csv, found by another walk.
    std::size_t compared = 0;
    for (const char* distance : {"1.5m", "10m", "30m", "100m"})
        for (const auto& [run, column] :
             {std::pair{"a", "conifer_before_ha"}, std::pair{"b", "conifer_after_ha"}})
            for (const SqlRow& row :
                 sql(runs.path(run) / "fuelring.gpkg",
                     fmt::format("select neighbourhood, \"conifer_ha_within_{}\" from "
                                 "neighbourhoods",
                                 distance))) {
                const double ha = row[1].number.value();
                const double here =
                    sql_number(out / "change.gpkg",
                               fmt::format("select \"{}\" from change_areas where name = '{}' and "
                                           "distance = 'within_{}'",
                                           column, row[0].text.value(), distance));
                CHECK(std::abs(here - ha) <= 1e-9 * ha + 1e-12);
                ++compared;
            }
    CHECK(compared == 2 * 4 * 7);
    // Largest changes first.
    const Csv csv = read_csv(out / "change_by_address.csv");
    double last = 100;
    for (std::size_t row = 0; row < csv.rows.size(); ++row) {
        const double change = std::abs(std::stod(csv.cell(row, "exposure_change")));
        CHECK(change <= last);
        last = change;
    }
    CHECK(csv.rows.size() == read_csv(runs.path("b") / "addresses.csv").rows.size());
}

TEST_CASE("ground that one date does not know is kept apart, in areas and in exposures")
{
    const ChangeRuns runs;
    const std::vector<Shape> house{square_house("H", 0, 0, house_m)};
    runs.map("before", {house, strips_before});
    // A gap in the later imagery where the first conifers stood, from 1 to 3 m of the wall.
    runs.map("after", {house, [](double x, double y) {
                           const double d = x - house_m / 2;
                           return d > 1 && d < 3 ? int{no_data} : strips_after(x, y);
                       }});
    const fs::path out = runs.changed("before", "after", "out");
    for (std::size_t k = 0; k < rings.size(); ++k) {
        CAPTURE(rings[k]);
        const double gap_ha = strip_in_ring_m2(1, 3, k) / 1e4;
        const double slack_ha = 1e-9 * ring_m2(k) / 1e4;
        CHECK(std::abs(change_ha(out, "mapped_before_only_ha", rings[k]) - gap_ha) <= slack_ha);
        CHECK(std::abs(change_ha(out, "conifer_mapped_before_only_ha", rings[k]) - gap_ha) <=
              slack_ha);
        CHECK(std::abs(change_ha(out, "removed_ha", rings[k]) - strip_in_ring_m2(5, 20, k) / 1e4) <=
              slack_ha);
        CHECK(change_ha(out, "mapped_after_only_ha", rings[k]) == 0);
    }
    // Change by fuel is that of rings which both dates map, in closed form.
    constexpr std::array weight{0.35, 0.35, 0.20, 0.10};
    double by_fuel = 0;
    for (std::size_t k = 0; k < rings.size(); ++k)
        by_fuel += 100 * weight[k] * (strip_in_ring_m2(60, 75, k) - strip_in_ring_m2(5, 20, k)) /
                   (ring_m2(k) - strip_in_ring_m2(1, 3, k));
    CHECK(by_fuel_sum(out) == doctest::Approx(by_fuel).epsilon(1e-9));
    const double change = exposure_sum(runs.path("after")) - exposure_sum(runs.path("before"));
    CHECK(sql_number(out / "change.gpkg", "select change_otherwise from change_structures") ==
          doctest::Approx(change - by_fuel).epsilon(1e-9));
}

TEST_CASE("a wanted standard error gives reference points by class, few where the map is sure")
{
    const ChangeRuns runs;
    const std::vector<Shape> house{square_house("H", 0, 0, house_m)};
    runs.map("before", {house, strips_before});
    runs.map("after", {house, strips_after});
    const ProgramResult done =
        runs.change("before", "after", "out",
                    {"--sample-se", "0.02", "--expect", "removed=0.7", "--expect", "regrown=0.6",
                     "--expect", "unchanged=0.9", "--expect", "no_conifer=0.95"});
    INFO(done.err);
    REQUIRE(done.exit_code == 0);

    const Csv csv = read_csv(runs.path("out") / "sample_points.csv");
    REQUIRE(csv.rows.size() == 4);
    double ground_ha = 0;
    for (std::size_t k = 0; k < 4; ++k)
        ground_ha += std::stod(csv.cell(k, "mapped_ha"));
    double deviations = 0; // sum of W S of equation 13
    double variance = 0;   // of the overall accuracy with the points given
    std::int64_t fewest = 0;
    for (std::size_t k = 0; k < 4; ++k) {
        const double share = std::stod(csv.cell(k, "mapped_ha")) / ground_ha;
        const double p = std::stod(csv.cell(k, "expected_users_accuracy"));
        const double points = std::stod(csv.cell(k, "points"));
        deviations += share * std::sqrt(p * (1 - p));
        variance += share * share * p * (1 - p) / points;
        fewest += std::stoll(csv.cell(k, "points_at_least"));
        CHECK(points >= 50);
    }
    const double least = std::pow(deviations / 0.02, 2);
    CHECK(static_cast<double>(fewest) >= least - 0.1); // hectares were rounded
    CHECK(static_cast<double>(fewest) <= least + 5);   // whole points, two a class
    CHECK(std::sqrt(variance) <= 0.02);
    CHECK(csv.cell(3, "map_class") == "no_conifer");
}
