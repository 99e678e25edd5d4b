// SPDX-License-Identifier: Apache-2.0

// Which projects a budget chooses, and what an appraisal makes of the inputs that it gets.
#include "end_to_end/appraise_runs.hpp"

#include <cmath>

using namespace fuelring::test;

TEST_CASE("a budget chooses the projects that remove most together, shared ground once")
{
    Plot plot;
    const auto drawn = [](const char* name, double x0, double y0, double side, int cost) {
        return Drawn{name, 0, x0, y0, x0 + side, y0 + side, fmt::format(R"(,"cost":{})", cost)};
    };
    // b and c are nearly the same ground; d costs too much, e names no cost.
    const std::vector<Drawn> all{drawn("a", 140, 40, 30, 300),
                                 drawn("b", 50, 105, 40, 500),
                                 drawn("c", 52, 107, 40, 480),
                                 drawn("d", 20, 20, 200, 5000),
                                 {"e", 0, 30, 30, 60, 60}};
    plot.config("appraise", "budget") = "900";
    const fs::path out = plot.appraised("out", all);
    // Every set of a, b and c that the money pays for, by a run of its own.
    plot.config.tables.erase("appraise");
    double best = 0;
    std::string names;
    const std::vector<std::vector<std::size_t>> sets{{0}, {1}, {2}, {0, 1}, {0, 2}};
    for (const std::vector<std::size_t>& set : sets) {
        std::vector<Drawn> some;
        std::string of_set;
        for (const std::size_t k : set) {
            some.push_back(all[k]);
            of_set += all[k].project;
        }
        const double removed =
            figure(plot.appraised("some", some), "exposure_removed", "scope = 'all'");
        if (removed > best) {
            best = removed;
            names = of_set;
        }
    }
    CHECK(std::abs(figure(out, "exposure_removed", "scope = 'chosen'") - best) < 1e-9);
    CHECK(figure(out, "cost", "scope = 'chosen'") <= 900);
    std::string chosen;
    for (const SqlRow& row :
         sql(out / "projects.gpkg", "select project from projects where chosen = 1 order by fid"))
        chosen += row[0].text.value();
    CHECK(chosen == names);
    const auto choice =
        nlohmann::json::parse(text_of(out / "run.json")).at("appraisal").at("choice");
    CHECK(choice.at("proved_best") == true);
    CHECK(choice.at("projects_without_cost") == 1);
}

TEST_CASE("projects come in any system, layer and format, and their oddities are told")
{
    const Plot plot;
    const fs::path plain = plot.appraised("plain", {{"belt", 0, 20.2, 100.6, 96.4, 117.4},
                                                    {"stand", 0.5, 70.6, 108.2, 120.8, 140.4}});
    // Degrees, in a file of two layers, under other names.
    const fs::path wgs84 = plot.path("drawn.gpkg");
    reproject_layer(plot.path("plain.geojson"), plot.path("degrees.geojson"), "GeoJSON", 4326);
    must_succeed(plot.run("appraise", "degrees", {"--projects", plot.path("degrees.geojson")}));
    for (const char* column : {"area_ha", "exposure_removed", "conifer_ha"})
        CHECK(figure(plot.path("degrees"), column, "scope = 'all'") ==
              doctest::Approx(figure(plain, column, "scope = 'all'")).epsilon(1e-4));
    // A bow tie is repaired by even-odd, a polygon without ground left out; both are told.
    make_layer(wgs84, "GPKG", "title", 32611,
               {{"tie", fmt::format("POLYGON(({0} {1},{2} {3},{2} {1},{0} {3},{0} {1}))",
                                    plot_x + 50, plot_y + 100, plot_x + 70, plot_y + 120)},
                {"line", fmt::format("POLYGON(({0} {1},{2} {1},{0} {1}))", plot_x + 50,
                                     plot_y + 100, plot_x + 70)}});
    const ProgramResult odd = must_succeed(
        plot.run("appraise", "odd", {"--projects", wgs84, "--layer", "drawn", "--name", "title"}));
    CHECK(odd.said("1 polygon crosses itself and was repaired"));
    CHECK(odd.said("1 polygon encloses no area and is left out"));
    CHECK(figure(plot.path("odd"), "area_ha", "project = 'tie' and scope = 'project'") ==
          doctest::Approx(0.02));
    // Without a column of names every polygon is a project of its own.
    must_succeed(plot.run("appraise", "nameless", {"--projects", wgs84}));
    CHECK(sql_number(plot.path("nameless") / "projects.gpkg",
                     "select count(*) from projects where scope = 'project' and project = '1'") ==
          1);
    const ProgramResult wrong =
        plot.run("appraise", "odd", {"--projects", wgs84, "--name", "project"});
    CHECK(wrong.exit_code == 3);
    CHECK(wrong.said("no column 'project'"));
    CHECK(wrong.said("--projects-name"));
}

TEST_CASE("homes and people are counted where the layer of structures tells them")
{
    Plot plot;
    plot.with_owners_and_neighbourhoods();
    struct Building {
        const char* id;
        const char* kind;
        const char* people;
        double x, y;
    };
    const std::vector<Building> buildings{{"H1", "home", "2", 60, 120},
                                          {"H2", "home", "3.5", 85, 118},
                                          {"H3", "barn", "null", 150, 60},
                                          {"H4", "home", "null", 158, 72},
                                          {"H5", "barn", "1", 40, 40}};
    std::string features;
    for (const Building& b : buildings) {
        const Drawn ground{"", 0, b.x, b.y, b.x + 10, b.y + 8};
        features += fmt::format(
            R"({}{{"type":"Feature","properties":{{"structure_id":"{}","kind":"{}","people":{}}},)"
            R"("geometry":{{"type":"Polygon","coordinates":{}}}}})",
            features.empty() ? "" : ",", b.id, b.kind, b.people, ground.ring());
    }
    write_text(plot.path("buildings.geojson"),
               R"({"type":"FeatureCollection","crs":{"type":"name","properties":)"
               R"({"name":"urn:ogc:def:crs:EPSG::32611"}},"features":[)" +
                   features + "]}");
    plot.config("inputs.structures", "path") = toml_text(plot.path("buildings.geojson"));
    plot.config("inputs.structures", "homes") = "\"kind = 'home'\"";
    plot.config("inputs.structures", "people") = "'people'";
    const Drawn everything{"everything", 0, 0, 0, 240, 240};
    const fs::path out = plot.appraised("out", {everything});

    const auto of_north = [&](const char* column, const char* name = "North") {
        return sql_number(
            out / "fuelring.gpkg",
            fmt::format("select \"{}\" from neighbourhoods where neighbourhood = '{}'", column,
                        name));
    };
    CHECK(of_north("homes") == 2);
    CHECK(of_north("people") == 5.5);
    CHECK(of_north("homes", "(community)") == 3);
    CHECK(of_north("people", "(community)") == 6.5); // that of H4 is not known
    CHECK(of_north("people_conifer_within_10m") <= of_north("people"));
    const Csv addresses = read_csv(out / "addresses.csv");
    for (std::size_t row = 0; row < addresses.rows.size(); ++row) {
        const std::string& id = addresses.cell(row, "structure_id");
        CHECK((addresses.cell(row, "home") == "0") == (id == "H3" || id == "H5"));
        CHECK(addresses.cell(row, "people").empty() == (id == "H3" || id == "H4"));
    }
    // All conifers go: every building with more than a point falls by it.
    CHECK(sql_number(out / "fuelring.gpkg",
                     "select count(*) from structures where exposure >= 1") == 5);
    CHECK(figure(out, "homes_helped_1", "scope = 'all'") == 3);
    CHECK(figure(out, "people_helped_1", "scope = 'all'") == 6.5);
}

TEST_CASE("an appraisal stays beside the files of a run until map runs again")
{
    Plot plot;
    const fs::path out = plot.appraised("out", {{"belt", 0, 20.2, 100.6, 96.4, 117.4}});
    CHECK(text_of(out / "projects.csv").find("Proposed, not done.") != std::string::npos);
    must_succeed(plot.run("map", "out"));
    CHECK(fs::exists(out / "projects.csv")); // nothing changed
    plot.config("rings", "weight") = "[0.4, 0.3, 0.2, 0.1]";
    must_succeed(plot.run("map", "out", {"--accept"}));
    CHECK_FALSE(fs::exists(out / "projects.csv"));
    CHECK_FALSE(nlohmann::json::parse(text_of(out / "run.json")).contains("appraisal"));
}
