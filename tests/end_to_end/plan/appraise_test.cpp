// SPDX-License-Identifier: Apache-2.0

// Drawn projects against what `map` says of rasters that were changed by hand, and against sums.
#include "end_to_end/appraise_runs.hpp"

#include <cmath>
#include <random>

using namespace fuelring::test;

namespace {

/// Corners on fifths of a metre: covers of cells are multiples of 0.04, so shares of a raster that
/// is changed by hand are whole per cents.
const Drawn belt{"belt", 0, 20.2, 100.6, 96.4, 117.4};
const Drawn stand{"stand", 0.5, 70.6, 108.2, 120.8, 140.4};
const Drawn corner{"belt", 0.5, 140.2, 40.4, 170.6, 58.8};

double percent_left(const std::vector<Drawn>& drawn, std::int64_t col, std::int64_t row)
{
    // Of two that overlap the smaller share holds: what stands first here clears.
    double left = 1;
    for (std::size_t k = 0; k < drawn.size(); ++k) {
        double cover = drawn[k].in_cell(col, row);
        for (std::size_t before = 0; before < k; ++before)
            cover -= drawn[k].and_also(drawn[before]).in_cell(col, row);
        left -= (1 - drawn[k].leaves) * cover;
    }
    return left * Plot::share_at(col, row);
}

void check_homes(const std::map<std::string, double>& told,
                 const std::map<std::string, double>& mapped)
{
    REQUIRE(told.size() == mapped.size());
    for (const auto& home : mapped) {
        INFO(home.first);
        CHECK(std::abs(told.at(home.first) - home.second) < 1e-9);
    }
}

} // namespace

TEST_CASE("exposures after drawn projects are those of map on the raster changed by hand")
{
    Plot plot;
    const std::vector<Drawn> all{belt, stand, corner};
    const fs::path out = plot.appraised("out", all);

    const auto left_by = [](std::vector<Drawn> drawn) {
        return [drawn](std::int64_t col, std::int64_t row) {
            const double share = percent_left(drawn, col, row);
            // The law of this test: whole per cents.
            REQUIRE(std::abs(share - std::round(share)) < 1e-6);
            return static_cast<int>(std::lround(share));
        };
    };
    const fs::path after_all = plot.mapped_by_hand("all", left_by(all));
    const fs::path after_belt = plot.mapped_by_hand("belt", left_by({belt, corner}));
    const fs::path after_stand = plot.mapped_by_hand("stand", left_by({stand}));
    const fs::path told = out / "projects.gpkg";
    check_homes(by_structure(told, "project_exposure", "exposure_before"),
                by_structure(out / "fuelring.gpkg", "structures", "exposure"));
    check_homes(by_structure(told, "project_exposure", "exposure_after"),
                by_structure(after_all / "fuelring.gpkg", "structures", "exposure"));
    check_homes(by_structure(told, "project_exposure", "exposure_after_belt"),
                by_structure(after_belt / "fuelring.gpkg", "structures", "exposure"));
    check_homes(by_structure(told, "project_exposure", "exposure_after_stand"),
                by_structure(after_stand / "fuelring.gpkg", "structures", "exposure"));

    // The column of sums is that of the homes, and so are the counts.
    double removed = 0;
    std::map<double, int> homes;
    const auto before = by_structure(told, "project_exposure", "exposure_before");
    for (const auto& [id, after] : by_structure(told, "project_exposure", "exposure_after")) {
        removed += before.at(id) - after;
        for (const double points : {0.1, 0.5, 1.0, 2.0, 5.0})
            homes[points] += before.at(id) - after >= points ? 1 : 0;
    }
    CHECK(std::abs(figure(out, "exposure_removed", "scope = 'all'") - removed) < 1e-9);
    CHECK(removed > 1);
    for (const auto& count : homes) {
        CAPTURE(count.first);
        CHECK(figure(out, fmt::format("homes_helped_{:g}", count.first), "scope = 'all'") ==
              count.second);
    }
}

TEST_CASE("projects that overlap count once together: A + B - what they share")
{
    const Plot plot;
    std::mt19937 random{20240715};
    std::uniform_real_distribution<double> at{0, 200};
    std::uniform_real_distribution<double> side{10, 120};
    for (int trial = 0; trial < 4; ++trial) {
        CAPTURE(trial);
        // Corners anywhere, cells cut anyhow.
        const auto drawn = [&](const char* name) {
            const double x = at(random);
            const double y = at(random);
            return Drawn{name, 0.25, x, y, x + side(random), y + side(random)};
        };
        const Drawn a = drawn("a");
        Drawn b = drawn("b");
        b.x0 = a.x0 + 0.3 * (a.x1 - a.x0); // so that they do overlap
        b.x1 = b.x0 + side(random);
        b.y0 = a.y0 - 7.77;
        b.y1 = b.y0 + side(random) + 10;
        Drawn shared = a.and_also(b);
        shared.project = "shared";
        REQUIRE(shared.area_m2() > 1);
        const fs::path both = plot.appraised("both", {a, b});
        const fs::path one = plot.appraised("one", {shared});
        for (const char* column : {"area_ha", "exposure_removed"}) {
            CAPTURE(column);
            const double sum = figure(both, column, "scope = 'project' and project = 'a'") +
                               figure(both, column, "scope = 'project' and project = 'b'");
            CHECK(std::abs(sum - figure(both, column, "scope = 'all'") -
                           figure(one, column, "scope = 'all'")) < 1e-9);
        }
        // Outlines are cut along lines between points of a lattice, half a millimetre off at most.
        for (const char* column : {"conifer_ha", "treated_conifer_ha"}) {
            CAPTURE(column);
            const double sum = figure(both, column, "scope = 'project' and project = 'a'") +
                               figure(both, column, "scope = 'project' and project = 'b'");
            CHECK(std::abs(sum - figure(both, column, "scope = 'all'") -
                           figure(one, column, "scope = 'all'")) < 1e-5);
        }
    }
}

TEST_CASE("hectares of projects by ring, owner and neighbourhood add up to the row's")
{
    Plot plot;
    plot.with_owners_and_neighbourhoods();
    const fs::path out = plot.appraised("out", {belt, stand, corner});
    const std::vector<SqlRow> rows =
        sql(out / "projects.gpkg", "select scope || ' ' || project || ' ' || coalesce(polygon, '')"
                                   " from projects");
    CHECK(rows.size() == 2 + 3 + 1); // projects, polygons, all
    for (const char* what : {"conifer_ha", "treated_conifer_ha"})
        for (std::size_t fid = 1; fid <= rows.size(); ++fid) {
            CAPTURE(rows[fid - 1][0].text.value());
            CAPTURE(what);
            const std::string row = fmt::format("fid = {}", fid);
            const auto sum = [&](const std::vector<std::string>& ends) {
                double all = 0;
                for (const std::string& end : ends)
                    all += figure(out, what + end, row);
                return all;
            };
            const double whole = figure(out, what, row);
            CHECK(whole > 0);
            CHECK(std::abs(sum({"_0_1.5m", "_1.5_10m", "_10_30m", "_30_100m"}) - whole) < 1e-9);
            CHECK(std::abs(sum({"_private", "_crown_land", "_no_parcel"}) - whole) < 1e-9);
            CHECK(std::abs(sum({"_in_North", "_in_South", "_in_(outside)"}) - whole) < 1e-9);
        }
    // The belt lies in the north and helps homes there.
    const std::string north = "scope = 'polygon' and polygon = '0'";
    CHECK(figure(out, "conifer_ha_in_South", north) == 0);
    CHECK(figure(out, "exposure_removed_in_North", north) > 1);
    for (const char* row : {"scope = 'all'", "scope = 'project' and project = 'stand'"})
        CHECK(std::abs(figure(out, "exposure_removed_in_North", row) +
                       figure(out, "exposure_removed_in_South", row) -
                       figure(out, "exposure_removed", row)) < 1e-9);
}

TEST_CASE("conifers of a project are those within the widest distance and under no roof")
{
    // One house on ground that is all conifers, and a strip from its roof to beyond the reach.
    Plot plot;
    plot.make_fuel_of("fuel.tif", [](std::int64_t, std::int64_t) { return 100; });
    make_layer(plot.path("structures.gpkg"), "GPKG", "structure_id", 32611,
               {{"H", rectangle_wkt(plot_x + 100, plot_y + 100, plot_x + 120, plot_y + 110)}});
    // 4 m under the roof, 100 m in reach of the straight wall, 15 m beyond it; 6 m wide.
    const Drawn strip{"strip", 0.25, 116, 102, 235, 108};
    const fs::path out = plot.appraised("out", {strip});
    CHECK(std::abs(figure(out, "area_ha", "scope = 'all'") - 119 * 6 * 1e-4) < 1e-12);
    CHECK(std::abs(figure(out, "reach_ha", "scope = 'all'") - 100 * 6 * 1e-4) < 1e-10);
    CHECK(std::abs(figure(out, "conifer_ha", "scope = 'all'") - 100 * 6 * 1e-4) < 1e-10);
    CHECK(std::abs(figure(out, "treated_conifer_ha", "scope = 'all'") - 75 * 6 * 1e-4) < 1e-10);
    for (const auto& [ring, metres] : std::map<std::string, double>{
             {"0_1.5m", 1.5}, {"1.5_10m", 8.5}, {"10_30m", 20}, {"30_100m", 70}})
        CHECK(std::abs(figure(out, "conifer_ha_" + ring, "scope = 'all'") - metres * 6 * 1e-4) <
              1e-10);
}

TEST_CASE("money and years of projects are those of their polygons, and unknown where one is")
{
    const Plot plot;
    Drawn a{"a", 0, 20, 100, 50, 120, R"(,"cost":1200,"year":2027)"};
    Drawn b{"a", 0, 60, 130, 80, 140, R"(,"cost":300,"year":2027)"};
    Drawn c{"c", 0, 150, 40, 170, 60, R"(,"year":"2028")"};
    const fs::path out = plot.appraised("out", {a, b, c});
    const std::string of_a = "scope = 'project' and project = 'a'";
    CHECK(figure(out, "cost", of_a) == 1500);
    CHECK(figure(out, "cost_per_ha", of_a) == doctest::Approx(1500 / 0.08));
    CHECK(figure(out, "cost_per_treated_ha", of_a) ==
          doctest::Approx(1500 / figure(out, "treated_conifer_ha", of_a)));
    CHECK(figure(out, "cost_per_point", of_a) ==
          doctest::Approx(1500 / figure(out, "exposure_removed", of_a)));
    CHECK(sql(out / "projects.gpkg", "select year from projects where " + of_a)[0][0].text ==
          "2027");
    for (const char* row : {"scope = 'all'", "scope = 'project' and project = 'c'"})
        CHECK(
            sql(out / "projects.gpkg", fmt::format("select cost from projects where {}", row))[0][0]
                .is_null());
    CHECK(sql(out / "projects.gpkg", "select year from projects where scope = 'all'")[0][0]
              .is_null());
}

TEST_CASE("a share of the best is 1 for a project that clears all, and never above")
{
    Plot plot;
    const Drawn everything{"everything", 0, -10, -10, 250, 250};
    const Drawn far{"far", 0, 200, 200, 230, 230};
    const fs::path out = plot.appraised("out", {everything, belt, far});
    const auto share = [&](const char* name) {
        return figure(out, "share_of_best",
                      fmt::format("scope = 'project' and project = '{}'", name));
    };
    // The bound is at most a thousandth of the last bin too high.
    CHECK(share("everything") <= 1);
    CHECK(share("everything") > 0.999);
    CHECK(share("belt") > 0.05);
    CHECK(share("belt") < 0.9);
    CHECK(
        figure(out, "exposure_removed", "project = 'everything' and scope = 'project'") ==
        doctest::Approx(sql_number(out / "fuelring.gpkg", "select sum(exposure) from structures")));
}

TEST_CASE("neither the number of workers nor their order changes a bit of an appraisal")
{
    Plot plot;
    plot.with_owners_and_neighbourhoods();
    plot.config("run", "tile_cells") = "64";
    std::string first;
    for (const char* jobs : {"1", "2", "7"}) {
        CAPTURE(jobs);
        const fs::path out =
            plot.appraised("out" + std::string{jobs}, {belt, stand, corner}, {"--jobs", jobs});
        const std::string all = dump_of(out / "projects.gpkg") + text_of(out / "projects.csv") +
                                text_of(out / "project_exposure.csv");
        if (first.empty())
            first = all;
        CHECK((all == first));
    }
}

TEST_CASE("unmapped ground in a project is told apart, and ground off the raster too")
{
    Plot plot;
    plot.make_fuel_of("fuel.tif", [](std::int64_t col, std::int64_t row) {
        return col >= 60 && col < 80 ? unknown_cover : Plot::share_at(col, row);
    });
    // 10 of 40 m over unknown cells, all near H1 and H2, whose roofs it misses.
    const Drawn half{"half", 0, 30, 112, 70, 117};
    // Half of it lies off the raster.
    const Drawn off{"off", 0, -20, 60, 20, 80};
    const fs::path out = plot.appraised("out", {half, off});
    const std::string of_half = "scope = 'project' and project = 'half'";
    CHECK(figure(out, "reach_ha", of_half) == doctest::Approx(40 * 5 * 1e-4));
    CHECK(figure(out, "unmapped_ha", of_half) == doctest::Approx(10 * 5 * 1e-4));
    const std::string of_off = "scope = 'project' and project = 'off'";
    CHECK(figure(out, "unmapped_ha", of_off) == doctest::Approx(20 * 20 * 1e-4));
    CHECK(figure(out, "conifer_ha", of_off) > 0);
}
