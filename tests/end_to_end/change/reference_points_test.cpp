// SPDX-License-Identifier: Apache-2.0

// `fuelring change --draw-points`, and what --points makes of the filled layer.
#include "support/change_runs.hpp"
#include "support/records.hpp"

#include <nlohmann/json.hpp>

#include <array>
#include <cmath>
#include <cstring>
#include <map>

using namespace fuelring::test;

namespace {

/// West of the house mixed stands (half of each cell is conifer), east of it conifers; north of it
/// all of them are gone later.
int wood_before(double x, double y)
{
    return std::abs(y) > 80 ? grass : x < 0 ? mixed : conifer;
}
int wood_after(double x, double y)
{
    return y > 0 ? grass : wood_before(x, y);
}

void map_both(const ChangeRuns& runs)
{
    const std::vector<Shape> houses{square_house("H", 0, 0), square_house("I", 70, 10)};
    const std::vector<Shape> parcels{ground("Private", -190, -190, 30, 190),
                                     ground("Crown land", 30, -190, 190, 190)};
    runs.map("before", {.structures = houses, .code_at = wood_before, .parcels = parcels});
    runs.map("after", {.structures = houses, .code_at = wood_after, .parcels = parcels});
}

fs::path draw(const ChangeRuns& runs, const std::string& out, std::vector<std::string> more)
{
    more.insert(more.begin(), {"--draw-points", "400"});
    return runs.changed("before", "after", out, more) / "reference_points.gpkg";
}

/// The layer with each cell judged as it is on both maps.
fs::path filled(const ChangeRuns& runs, const fs::path& drawn, const std::string& name)
{
    fs::copy_file(drawn, runs.path(name));
    const std::string x = fmt::format("(ST_MinX(geom) - {})", scene_x);
    const std::string y = fmt::format("(ST_MinY(geom) - {})", scene_y);
    run_sql(
        runs.path(name),
        fmt::format("UPDATE reference_points SET conifer_before = CASE WHEN abs({1}) > 80 THEN 0 "
                    "WHEN {0} < 0 THEN 0.5 ELSE 1 END",
                    x, y));
    run_sql(runs.path(name),
            fmt::format("UPDATE reference_points SET conifer_after = CASE WHEN {0} > 0 THEN 0 ELSE "
                        "conifer_before END",
                        y));
    return runs.path(name);
}

/// A point, metres from (600000, 5600000).
struct Place {
    double x, y;
    std::string map_class;
};

/// In the order of the draw. The last 16 bytes of a point's geometry are its coordinates.
std::vector<Place> places_of(const fs::path& layer)
{
    const auto number_at = [](const std::string& hex, std::size_t from) {
        std::array<unsigned char, 8> bytes{};
        for (std::size_t k = 0; k < 8; ++k)
            bytes[k] =
                static_cast<unsigned char>(std::stoi(hex.substr(from + 2 * k, 2), nullptr, 16));
        double value = 0;
        std::memcpy(&value, bytes.data(), sizeof value);
        return value;
    };
    std::vector<Place> places;
    for (const SqlRow& row : sql(layer, "select hex(geom), map_class from reference_points "
                                        "order by point_id")) {
        const std::string& hex = *row[0].text;
        places.push_back({number_at(hex, hex.size() - 32) - scene_x,
                          number_at(hex, hex.size() - 16) - scene_y, *row[1].text});
    }
    return places;
}

double number(const fs::path& out, const std::string& column, const std::string& where)
{
    return sql_number(out / "change.gpkg",
                      fmt::format("select {} from change_areas where {}", column, where));
}

} // namespace

TEST_CASE("points are drawn in their classes, near the walls and under no roof, again and again")
{
    const ChangeRuns runs;
    map_both(runs);
    const fs::path drawn = draw(runs, "a", {"--jobs", "1"});
    CHECK(dump_of(drawn) == dump_of(draw(runs, "b", {"--jobs", "4"})));
    const std::vector<Place> points = places_of(drawn);
    REQUIRE(points.size() == 400);
    const Band kind = read_band(runs.path("a") / "change.tif");
    const std::map<std::string, int> code{
        {"removed", 1}, {"regrown", 2}, {"unchanged", 3}, {"no_conifer", 4}};
    std::map<std::string, int> n;
    for (const Place& point : points) {
        const double x = point.x;
        const double y = point.y;
        const auto row = static_cast<std::int64_t>(std::floor(scene_half_m - y));
        const auto col = static_cast<std::int64_t>(std::floor(scene_half_m + x));
        CHECK(static_cast<int>(kind.at(row, col)) == code.at(point.map_class));
        const auto wall_m = [&](double hx, double hy) {
            return std::hypot(std::max(std::abs(x - hx) - 6, 0.0),
                              std::max(std::abs(y - hy) - 6, 0.0));
        };
        const double near_m = std::min(wall_m(0, 0), wall_m(70, 10));
        CHECK(near_m > 0);
        CHECK(near_m <= 100);
        ++n[point.map_class];
    }
    CHECK(n.size() == 3); // nothing grew again
    CHECK(n.at("no_conifer") >= 50);
    // In proportion to the ground of whole cells, which are the strata.
    const auto strata = nlohmann::json::parse(text_of(runs.path("a") / "run.json")).at("drawn");
    CHECK(strata.at("by_class").at("removed") == n.at("removed"));
    CHECK(dump_of(drawn) != dump_of(draw(runs, "c", {"--seed", "2"})));
    const std::vector<Place> nearer = places_of(draw(runs, "d", {"--draw-within", "10"}));
    CHECK(nearer.size() == 400);
    for (const Place& p : nearer)
        CHECK(std::abs(p.x - 35) <= 51); // 10 m about the two houses
}

TEST_CASE(
    "points that say what the maps say leave every hectare, and rows of few points stay empty")
{
    const ChangeRuns runs;
    map_both(runs);
    write_records(runs.path("crews.geojson"), {{"A", "", "thinning", 10.0, -40, 0, 60, 60},
                                               {"B", "", "pruning", 10.0, -3, 8, 3, 9}});
    const fs::path layer = filled(runs, draw(runs, "drawn", {}), "filled.gpkg");
    const fs::path out = runs.changed("before", "after", "out",
                                      {"--points", layer, "--records", runs.path("crews.geojson")});
    const std::string told = "reference_points >= 30";
    CHECK(number(out, "count(*)", told) >= 12);
    CHECK(number(out, "count(*)", told + " and (removed_adjusted_ha is null)") == 0);
    CHECK(number(out, "count(*)", "not (" + told + ") and removed_adjusted_ha is not null") == 0);
    CHECK(number(out, "count(*)", "not (" + told + ")") > 0);
    for (const char* what : {"removed", "regrown", "unchanged"}) {
        CHECK(number(out, fmt::format("max(abs({0}_adjusted_ha - {0}_ha))", what), told) <= 1e-12);
        CHECK(number(out, fmt::format("max({}_ci95_ha)", what), told) <= 1e-12);
    }
    // Rings, owners and the thinned area share out the points of the whole.
    const auto points = [&](const std::string& where) {
        return number(out, "sum(reference_points)", where);
    };
    CHECK(points("scope = 'community' and distance = 'within_100m'") == 400);
    CHECK(points("scope = 'community' and distance not like 'within%'") == 400);
    CHECK(points("scope = 'owner' and distance = 'within_100m'") == 400);
    CHECK(points("scope = 'treatment' and name = 'thinning' and distance = 'within_100m'") > 30);
    CHECK(points("scope = 'treatment' and name = 'pruning' and distance = 'within_100m'") < 30);
    const auto run = nlohmann::json::parse(text_of(out / "run.json"));
    CHECK(run.at("reference").at("points") == 400);
    CHECK(run.at("method").get<std::string>().find("400 points were judged") != std::string::npos);
    const Csv accuracy = read_csv(out / "change_accuracy.csv");
    CHECK(accuracy.rows.size() == 5);
    CHECK(accuracy.cell(4, "points") == "400");
    CHECK(accuracy.cell(3, "users_accuracy") == "1.000000");
    CHECK(read_csv(out / "change.csv").cell(7, "basis") ==
          "mapped, and adjusted by reference points");
}

TEST_CASE("an error near the walls corrects the near rings and no other ground")
{
    const ChangeRuns runs;
    map_both(runs);
    const fs::path layer =
        filled(runs, draw(runs, "drawn", {"--draw-within", "30"}), "filled.gpkg");
    // Within 13 m of the house's middle, less than 10 m of its walls, nothing was removed.
    const std::string near = fmt::format("abs(ST_MinX(geom) - {}) < 13 and abs(ST_MinY(geom) - {}) "
                                         "< 13 and map_class = 'removed'",
                                         scene_x, scene_y);
    run_sql(layer, "UPDATE reference_points SET conifer_after = conifer_before WHERE " + near);
    const fs::path out = runs.changed("before", "after", "out", {"--points", layer});
    const auto row = [](const char* ring) {
        return fmt::format("scope = 'community' and distance = '{}'", ring);
    };
    CHECK(number(out, "removed_adjusted_ha", row("1.5_10m")) <
          0.97 * number(out, "removed_ha", row("1.5_10m")));
    CHECK(number(out, "removed_ci95_ha", row("1.5_10m")) > 0);
    CHECK(number(out, "removed_adjusted_ha - removed_ha", row("10_30m")) ==
          doctest::Approx(0).epsilon(1e-12));
    // Points within 30 m say nothing of what lies beyond.
    CHECK(number(out, "count(reference_points)", row("30_100m")) == 0);
    CHECK(number(out, "count(reference_points)", row("within_100m")) == 0);
    // Removed and unchanged of the truth add up to the conifers before: so do the corrected areas.
    CHECK(number(out, "removed_adjusted_ha + unchanged_adjusted_ha", row("within_30m")) ==
          doctest::Approx(number(out, "conifer_before_ha", row("within_30m"))).epsilon(1e-9));
}

TEST_CASE("words are read in any case, and points without one are counted and left out")
{
    const ChangeRuns runs;
    map_both(runs);
    const fs::path layer = draw(runs, "drawn", {});
    run_sql(layer, "UPDATE reference_points SET reference = ' ' || upper(map_class) || ' ' "
                   "WHERE point_id > 100");
    const ProgramResult run = runs.change("before", "after", "out", {"--points", layer});
    REQUIRE(run.exit_code == 0);
    CHECK(run.said("100 of 400 reference points are not judged and left out"));
    const auto reference =
        nlohmann::json::parse(text_of(runs.path("out") / "run.json")).at("reference");
    CHECK(reference.at("points") == 300);
    CHECK(reference.at("without_reference") == 100);
    CHECK(reference.at("overall_accuracy").get<double>() == doctest::Approx(1).epsilon(1e-12));
}

TEST_CASE("points that somebody has judged are neither replaced nor taken away")
{
    const ChangeRuns runs;
    map_both(runs);
    const fs::path layer = draw(runs, "out", {});
    const auto refused = [&](const std::vector<std::string>& more) {
        const std::string before = text_of(layer);
        const ProgramResult run = runs.change("before", "after", "out", more);
        INFO(run.err);
        CHECK(run.exit_code == 2);
        CHECK(run.said("reference_points.gpkg: it was changed since its points were drawn"));
        CHECK((text_of(layer) == before));
    };
    draw(runs, "out", {}); // nobody wrote into it
    run_sql(layer, "UPDATE reference_points SET reference = map_class");
    refused({"--draw-points", "400"});
    refused({"--points", layer});
    refused({});
    const fs::path judged = runs.path("judged.gpkg");
    fs::rename(layer, judged);
    runs.changed("before", "after", "out", {"--points", judged});
    CHECK_FALSE(fs::exists(layer));

    fs::copy_file(judged, layer); // a file of the user's in the folder of a set without points
    refused({"--draw-points", "400"});
    runs.changed("before", "after", "out", {});
    CHECK((text_of(layer) == text_of(judged)));
}
