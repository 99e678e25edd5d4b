// SPDX-License-Identifier: Apache-2.0

// Treatment records on made grounds whose strips have closed forms, and on the sample.
#include "end_to_end/strips.hpp"
#include "support/change_runs.hpp"
#include "support/records.hpp"

#include <nlohmann/json.hpp>

#include <cmath>
#include <numeric>

using namespace fuelring::test;

namespace {

constexpr double wall = house_m / 2;

/// Conifers from 1 to 60 m east of the wall, of which 5 to 20 m go and 60 to 75 m come.
int before(double x, double)
{
    const double d = x - wall;
    return d > 1 && d < 60 ? conifer : grass;
}
int after(double x, double y)
{
    const double d = x - wall;
    return d > 5 && d < 20 ? grass : d > 60 && d < 75 ? conifer : before(x, y);
}

double sum_of_rings(double from_m, double to_m)
{
    double sum = 0;
    for (std::size_t k = 0; k < rings.size(); ++k)
        sum += strip_in_ring_m2(from_m, to_m, k);
    return sum;
}

/// Points of exposure in conifers of a strip, all ground being mapped at both dates.
double points_of(double from_m, double to_m)
{
    constexpr std::array weight{0.35, 0.35, 0.20, 0.10};
    double points = 0;
    for (std::size_t k = 0; k < rings.size(); ++k)
        points += 100 * weight[k] * strip_in_ring_m2(from_m, to_m, k) / ring_m2(k);
    return points;
}

/// One number of treatment_records, in full doubles.
double value(const fs::path& out, const std::string& column, const std::string& row)
{
    return sql_number(out / "change.gpkg",
                      fmt::format("select \"{}\" from treatment_records where {}", column, row));
}

constexpr const char* cut = "record_id = 'cut'";
constexpr const char* burn = "record_id = 'burn'";
constexpr const char* total = "scope = 'total'";

} // namespace

TEST_CASE("ground of treatment records by ring and owner equals its closed forms, overlaps once")
{
    const ChangeRuns runs;
    const std::vector<Shape> house{square_house("H", 0, 0, house_m)};
    runs.map("before", {house, before});
    runs.map("after", {.structures = house,
                       .code_at = after,
                       .parcels = {ground("Private", -190, -190, wall + 12, 190),
                                   ground("Crown land", wall + 12, -190, wall + 40, 190)}});
    // 8 to 25 m was cut, 15 to 30 m burnt: 15 to 25 m by both.
    write_records(
        runs.path("records.geojson"),
        {{"cut", "2024-09-01", "thinning", 3400.0, wall + 8, -190, wall + 25, 190},
         {"burn", "2025-03-01", "pile burning", 1500.0, wall + 15, -190, wall + 30, 190}});
    const fs::path out = runs.changed(
        "before", "after", "out", {"--records", runs.path("records.geojson"), "--record-id", "id"});

    struct Strip {
        const char* row;
        double from_m, confirmed_to_m, to_m, cost;
    };
    for (const Strip& s :
         {Strip{cut, 8, 20, 25, 3400}, Strip{burn, 15, 20, 30, 1500},
          Strip{"scope = 'treatment' and treatment = 'pile burning'", 15, 20, 30, 1500},
          Strip{total, 8, 20, 30, 4900}}) {
        CAPTURE(s.row);
        const auto near = [&](const std::string& column, double m2, double of_m2) {
            CAPTURE(column);
            CHECK(std::abs(value(out, column, s.row) * 1e4 - m2) <= 1e-9 * of_m2);
        };
        for (std::size_t k = 0; k < rings.size(); ++k) {
            const std::string ring = rings[k];
            near("ground_ha_" + ring, strip_in_ring_m2(s.from_m, s.to_m, k), ring_m2(k));
            near("confirmed_ha_" + ring, strip_in_ring_m2(s.from_m, s.confirmed_to_m, k),
                 ring_m2(k));
            near("still_standing_ha_" + ring, strip_in_ring_m2(s.confirmed_to_m, s.to_m, k),
                 ring_m2(k));
            near("unmapped_ha_" + ring, 0, ring_m2(k));
        }
        const double polygon_m2 = (s.to_m - s.from_m) * 380;
        const double confirmed_m2 = sum_of_rings(s.from_m, s.confirmed_to_m);
        near("polygon_ha", polygon_m2, polygon_m2);
        near("confirmed_ha", confirmed_m2, confirmed_m2);
        near("ground_ha_private", s.from_m < 12 ? sum_of_rings(s.from_m, 12) : 0, polygon_m2);
        near("confirmed_ha_crown_land", sum_of_rings(std::max(12.0, s.from_m), s.confirmed_to_m),
             polygon_m2);
        const double points = points_of(s.from_m, s.confirmed_to_m);
        CHECK(value(out, "exposure_points_removed", s.row) ==
              doctest::Approx(points).epsilon(1e-9));
        CHECK(value(out, "cost_per_ha", s.row) ==
              doctest::Approx(s.cost / polygon_m2 * 1e4).epsilon(1e-9));
        CHECK(value(out, "cost_per_confirmed_ha", s.row) ==
              doctest::Approx(s.cost / confirmed_m2 * 1e4).epsilon(1e-9));
        CHECK(value(out, "cost_per_point", s.row) ==
              doctest::Approx(s.cost / points).epsilon(1e-9));
    }
    // The application table has them, too, and the note says that records overlap.
    CHECK(sql_number(out / "change.gpkg",
                     "select removed_ha from change_areas where scope = 'treatment' and "
                     "name = '(all)' and distance = 'within_100m'") ==
          doctest::Approx(sum_of_rings(8, 20) / 1e4).epsilon(1e-9));
    CHECK(text_of(out / "run.json").find("treatment records overlap on 0.3800 ha") !=
          std::string::npos);
}

TEST_CASE("a record over all ground confirms what the comparison found, and no more where unmapped")
{
    const ChangeRuns runs;
    const std::vector<Shape> houses{square_house("H", 0, 0, house_m),
                                    square_house("I", 40, 30, house_m)};
    runs.map("before", {houses, before});
    runs.map("after", {houses, [](double x, double y) {
                           return x - wall > 15 && x - wall < 18 ? int{no_data} : after(x, y);
                       }});
    write_records(runs.path("records.geojson"),
                  {{"all", "", "", std::nullopt, -199, -199, 199, 199}});
    const fs::path out =
        runs.changed("before", "after", "out", {"--records", runs.path("records.geojson")});
    const auto community = [&](const char* column) {
        return change_ha(out, column, "within_100m");
    };
    CHECK(value(out, "ground_ha", total) == doctest::Approx(community("ground_ha")).epsilon(1e-9));
    CHECK(value(out, "confirmed_ha", total) ==
          doctest::Approx(community("removed_ha")).epsilon(1e-9));
    CHECK(value(out, "still_standing_ha", total) ==
          doctest::Approx(community("unchanged_ha")).epsilon(1e-9));
    CHECK(value(out, "unmapped_ha", total) ==
          doctest::Approx(community("mapped_before_only_ha")).epsilon(1e-9));
    CHECK(value(out, "exposure_points_removed", total) ==
          doctest::Approx(
              -sql_number(out / "change.gpkg", "select sum(change_by_fuel) from change_structures"))
              .epsilon(1e-9));
    CHECK(sql_number(out / "change.gpkg", "select count(cost_per_ha) from treatment_records") == 0);
}

TEST_CASE("records dated outside the two images stand apart, with their hectares, and in no sum")
{
    const ChangeRuns runs;
    const std::vector<Shape> house{square_house("H", 0, 0, house_m)};
    runs.map("before", {.structures = house, .code_at = before, .date = "2024-07-15"});
    runs.map("after", {.structures = house, .code_at = after, .date = "2026-07-15"});
    write_records(runs.path("records.geojson"),
                  {{"cut", "2024-07-15", "thinning", 3400.0, wall + 8, -190, wall + 20, 190},
                   {"old", "2024-07-14", "thinning", 100.0, wall + 15, -190, wall + 25, 190},
                   {"new", "2026-07-16", "burning", 200.0, wall + 30, -190, wall + 40, 190}});
    const fs::path out = runs.changed(
        "before", "after", "out", {"--records", runs.path("records.geojson"), "--record-id", "id"});
    const auto ha = [](double width_m) { return doctest::Approx(width_m * 380 / 1e4); };
    CHECK(value(out, "polygon_ha", total) == ha(12));
    CHECK(value(out, "confirmed_ha", total) ==
          doctest::Approx(sum_of_rings(8, 20) / 1e4).epsilon(1e-9));
    CHECK(value(out, "cost", total) == 3400);
    CHECK(value(out, "polygon_ha", "scope = 'outside_dates'") == ha(20));
    CHECK(value(out, "records", "scope = 'outside_dates'") == 2);
    CHECK(value(out, "polygon_ha", "record_id = 'old'") == ha(10)); // still a row of its own
    CHECK(sql_number(out / "change.gpkg", "select count(*) from treatment_records where scope = "
                                          "'treatment' and treatment = 'burning'") == 0);
    CHECK(sql_number(out / "change.gpkg",
                     "select removed_ha from change_areas where scope = "
                     "'treatment' and name = 'thinning' and distance = "
                     "'within_100m'") == doctest::Approx(sum_of_rings(8, 20) / 1e4).epsilon(1e-9));
    const auto manifest = nlohmann::json::parse(text_of(out / "run.json"));
    CHECK(manifest.at("treatment_records").at("outside_dates").at("polygon_ha") == ha(20));
    const std::string note = manifest.at("method");
    CHECK(note.find("2 more, of 0.76 ha, are dated outside the time between the two images") !=
          note.npos);
    CHECK(note.find("Their cost is 3,400 as recorded") != note.npos);
    const std::string for_public = manifest.at("method_for_public");
    CHECK(for_public.find("treatment records") == for_public.npos); // one area is one owner's

    // Nothing inside: the sums are of nothing, and money is not divided by it.
    const fs::path none =
        runs.changed("after", "after", "none", {"--records", runs.path("records.geojson")});
    CHECK(value(none, "polygon_ha", total) == 0);
    CHECK(value(none, "confirmed_ha", total) == 0);
    CHECK(sql_number(none / "change.gpkg",
                     "select count(cost) from treatment_records where scope = 'total'") == 0);
    CHECK(value(none, "records", "scope = 'outside_dates'") == 3);
}

TEST_CASE("what the imagery shows and what was entered by hand are told apart")
{
    const ChangeRuns runs;
    const std::vector<Shape> house{square_house("H", 0, 0, house_m)};
    runs.map("before", {house, before});
    runs.map("later", {house, after});
    // 24 to 29 m east of the wall, 40 m along it: 200 cells of 1 m2 that become lawn.
    write_text(
        runs.path("visits.csv"),
        "kind,structure_id,group,date,initials,wkt\nnot_conifer,,,2026-05-31,AB,\"" +
            rectangle_wkt(scene_x + wall + 24, scene_y - 20, scene_x + wall + 29, scene_y + 20) +
            "\"\n");
    const auto visited = [&](const std::string& name, const std::string& raster_of) {
        ConfigFile config = hamlet_config(runs.path(raster_of + "_inputs"));
        config.tables.erase("inputs.addresses");
        config("inputs.corrections", "path") = toml_text(runs.path("visits.csv"));
        config("inputs.corrections", "crs") = toml_text("EPSG:32611");
        runs.map(name, config);
    };
    visited("if_cut", "before");
    write_records(runs.path("records.geojson"),
                  {{"cut", "", "", std::nullopt, wall + 20, -190, wall + 40, 190}});
    const auto manifest_of = [&](const char* was, const char* is, const char* out) {
        const ProgramResult run =
            must_succeed(runs.change(was, is, out, {"--records", runs.path("records.geojson")}));
        auto manifest = nlohmann::json::parse(text_of(runs.path(out) / "run.json"));
        manifest["said"] = run.err;
        return manifest;
    };
    const auto says = [](const nlohmann::json& manifest, const char* words) {
        for (const char* place : {"method", "said"})
            if (manifest.at(place).get<std::string>().find(words) == std::string::npos)
                return false;
        return manifest.at("remarks").dump().find(words) != std::string::npos;
    };

    const auto by_hand = manifest_of("before", "if_cut", "by_hand");
    CHECK(says(by_hand, "the imagery shows no change between them."));
    CHECK(says(by_hand, "Corrections entered by hand account for all of it: 0.02 ha removed"));
    CHECK(by_hand.at("method").get<std::string>().find("none of which the imagery shows") !=
          std::string::npos);
    const auto& causes = by_hand.at("causes");
    CHECK(causes.at("same_raster") == true);
    CHECK(causes.at("by_hand_is_all") == true);
    CHECK(causes.at("by_hand_at_most_ha").get<double>() ==
          doctest::Approx(change_ha(runs.path("by_hand"), "removed_ha", "within_100m")));

    visited("later_visited", "later");
    const auto both = manifest_of("before", "later_visited", "both");
    CHECK(says(both,
               "Corrections entered by hand changed 0 cells in the earlier map and 200 in the "
               "later one: they account for up to 0.02 ha"));
    CHECK_FALSE(says(both, "the imagery shows no change"));
    CHECK(both.at("causes").at("by_hand_is_all") == false);

    const auto images = manifest_of("before", "later", "images");
    CHECK(images.at("cause_sentences").empty());
    CHECK(images.at("method").get<std::string>().find("by hand") == std::string::npos);
}
