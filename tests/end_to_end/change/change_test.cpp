// SPDX-License-Identifier: Apache-2.0

// `fuelring change` on made grounds whose change is known.
#include "end_to_end/strips.hpp"
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
    must_succeed(
        runs.change("before", "after", "out",
                    {"--sample-se", "0.02", "--expect", "removed=0.7", "--expect", "regrown=0.6",
                     "--expect", "unchanged=0.9", "--expect", "no_conifer=0.95"}));

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
