// SPDX-License-Identifier: Apache-2.0

// Pairs of systems between which PROJ knows several operations, each for a part of the ground: one
// serves a whole layer, and all layers of a system.
#include "system_tools.hpp"

using namespace fuelring::test;
using doctest::Approx;

namespace {

/// Two systems, and a line of houses over the end of an operation's area.
struct Seam {
    int layer, raster;
    Place from, to;      ///< degrees
    double least_torn_m; ///< by operations that are chosen point by point
    std::string_view why;
};

constexpr Seam seams[] = {
    {2056, 31287, {9.47, 47.17}, {9.60, 47.17}, 50, "Liechtenstein on Austria's Lambert grid"},
    {2056, 31254, {9.47, 47.10}, {9.60, 47.20}, 100, "Liechtenstein on Austria's western grid"},
    {21781, 31254, {9.47, 47.15}, {9.60, 47.15}, 50, "the same on the older datum"},
    {23032, 25832, {9.40, 54.45}, {9.40, 54.57}, 50, "Germany and Denmark, ED50 on ETRS89"},
    {23029, 25829, {-8.40, 41.45}, {-8.40, 41.55}, 1, "Portugal and Spain, the same"},
    {20255, 28355, {148.25, -39.45}, {148.25, -39.60}, 0.5, "Bass Strait, AGD66 on GDA94"},
    {21036, 32736, {33.85, -1.50}, {33.95, -1.50}, 5, "Kenya and Tanzania, Arc 1960 on WGS 84"},
};

constexpr int houses_on_line = 41;

/// By how much distances between neighbours differ most between the layer and what came of it.
double worst_tear_m(const std::vector<Place>& before, const Geodesics& ground_before,
                    const std::vector<Place>& after, const Geodesics& ground_after)
{
    double worst = 0;
    for (std::size_t k = 1; k < before.size(); ++k)
        worst = std::max(worst, std::abs(ground_before.length_m(before[k - 1], before[k]) -
                                         ground_after.length_m(after[k - 1], after[k])));
    return worst;
}

std::vector<Place> line_of(const Seam& seam, const OGRSpatialReference& layer)
{
    OGRSpatialReference degrees;
    degrees.CopyGeogCSFrom(&layer);
    degrees.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    const Way to_layer = way_between(degrees, layer);
    std::vector<Place> line;
    for (int k = 0; k < houses_on_line; ++k) {
        const double t = static_cast<double>(k) / (houses_on_line - 1);
        line.push_back(moved(to_layer, {(1 - t) * seam.from.x + t * seam.to.x,
                                        (1 - t) * seam.from.y + t * seam.to.y}));
    }
    return line;
}

} // namespace

TEST_CASE("neighbours keep their distance where PROJ's operations end, and the log names one")
{
    for (const Seam& seam : seams) {
        const std::string why{seam.why};
        CAPTURE(why);
        const OGRSpatialReference layer = system_of(seam.layer);
        const OGRSpatialReference raster = system_of(seam.raster);
        const std::vector<Place> line = line_of(seam, layer);
        const Geodesics ground_of_layer{layer};
        const Geodesics ground_of_raster{raster};
        std::vector<Place> point_by_point;
        for (const Place p : line)
            point_by_point.push_back(moved(way_between(layer, raster), p));
        const double torn_m = worst_tear_m(line, ground_of_layer, point_by_point, ground_of_raster);

        const TempFolder temp;
        const auto [west, east] =
            std::minmax_element(point_by_point.begin(), point_by_point.end(),
                                [](const Place& a, const Place& b) { return a.x < b.x; });
        const auto [south, north] =
            std::minmax_element(point_by_point.begin(), point_by_point.end(),
                                [](const Place& a, const Place& b) { return a.y < b.y; });
        const double cell = std::max(east->x - west->x, north->y - south->y) / 200;
        make_fuel(temp.path() / "fuel.tif",
                  {220,
                   220,
                   {west->x - 10 * cell, cell, 0, north->y + 10 * cell, 0, -cell},
                   seam.raster,
                   [](std::int64_t, std::int64_t) { return grass; }});
        std::vector<Shape> houses;
        for (std::size_t k = 0; k < line.size(); ++k)
            houses.push_back({fmt::format("H{:02}", k), wkt_of(house_at(line[k], 1))});
        make_layer(temp.path() / "structures.gpkg", "GPKG", "structure_id", seam.layer, houses);
        const GridRun run = run_map(temp.path(), {{"reprojected_within_m", "40"}});
        INFO(run.result.err);
        REQUIRE(run.result.exit_code == 0);
        REQUIRE(run.structures.size() == line.size());
        std::vector<Place> found;
        for (const SqlRow& row : run.structures)
            found.push_back({row[1].number.value(), row[2].number.value()});
        const double moved_m = worst_tear_m(line, ground_of_layer, found, ground_of_raster);
        MESSAGE(why << ": " << torn_m << " m point by point, " << moved_m << " m by one operation");
        CHECK(torn_m > seam.least_torn_m);
        CHECK(moved_m < 1);
        const auto& input = run.manifest.at("inputs").at("inputs.structures.path");
        const std::string name = input.at("operation");
        CHECK(input.at("accuracy_m").get<double>() > 0);
        CHECK(count_of(run.result.err, "by " + name) == 1);
        CHECK_FALSE(holds(warnings_of(run), "repaired_outlines"));
    }
}

namespace {

/// Twelve houses of Liechtenstein's grid in a row over 9.53 east, where an operation's area ends,
/// on a raster of Austria's; every other layer in Liechtenstein's grid, too.
class TownOnSeam {
public:
    TownOnSeam()
    {
        std::vector<Shape> houses;
        std::vector<Shape> doors;
        for (int k = 0; k < 12; ++k) {
            const Place at{2'757'400 + 200.0 * k, 1'220'000};
            houses.push_back({fmt::format("H{:02}", k), wkt_of(house_at(at, 1))});
            doors.push_back({fmt::format("{} Seam Lane", k),
                             fmt::format("POINT ({:.17g} {:.17g})", at.x, at.y)});
        }
        layer("structures", "structure_id", houses);
        layer("addresses", "text", doors);
        layer("quarters", "name",
              {{"all", rectangle_wkt(2'757'000, 1'219'900, 2'760'000, 1'220'100)}});
        layer("lots", "owner",
              {{"private", rectangle_wkt(2'757'000, 1'219'900, 2'760'000, 1'220'100)}});
        layer("creek", "name",
              {{"creek", rectangle_wkt(2'757'000, 1'220'015, 2'760'000, 1'220'025)}});
        write_text(file("visits.csv"),
                   "kind,date,initials,wkt\nunmapped,2026-05-02,AB,\"" +
                       rectangle_wkt(2'757'420, 1'219'980, 2'757'440, 1'220'020) + "\"\n");
        make_elevation(file("heights.tif"),
                       {400,
                        60,
                        {2'756'600, 10, 0, 1'220'300, 0, -10},
                        swiss,
                        [](double x, double) { return 400 + 0.2 * (x - 2.757e6); },
                        swiss,
                        "metre"});
        const Way way = way_between(system_of(swiss), system_of(austrian));
        const Place middle = moved(way, {2'758'500, 1'220'000});
        make_fuel(file("fuel.tif"),
                  {360,
                   200,
                   {middle.x - 1800, 10, 0, middle.y + 1000, 0, -10},
                   austrian,
                   [](std::int64_t, std::int64_t col) { return col % 7 < 4 ? conifer : grass; }});
        configure();
    }

    ProgramResult run(const std::string& command, const std::vector<std::string>& more = {}) const
    {
        std::vector<std::string> words{command, file("town.toml").string()};
        words.insert(words.end(), more.begin(), more.end());
        const ProgramResult result = must_succeed(run_fuelring(words));
        return result;
    }
    fs::path file(const std::string& name) const { return temp_.path() / name; }

private:
    static constexpr int swiss = 2056, austrian = 31287;

    void layer(const std::string& name, const std::string& column, const std::vector<Shape>& shapes)
    {
        make_layer(file(name + ".gpkg"), "GPKG", column, swiss, shapes);
    }

    void configure()
    {
        ConfigFile config = hamlet_config(temp_.path());
        const auto input = [&](const std::string& table, const std::string& name) {
            config(table, "path") = toml_text(file(name));
        };
        input("inputs.neighbourhoods", "quarters.gpkg");
        config("inputs.neighbourhoods", "name") = "\"name\"";
        input("inputs.parcels", "lots.gpkg");
        config("inputs.parcels", "owner") = "\"owner\"";
        input("inputs.elevation", "heights.tif");
        input("inputs.corrections", "visits.csv");
        config("inputs.corrections", "crs") = "\"EPSG:2056\"";
        config("treat", "budget") = "{ hectares = 0.1 }";
        config("treat", "keep_out") = "{ path = " + toml_text(file("creek.gpkg")) + " }";
        config.write(file("town.toml"));
    }

    TempFolder temp_;
};

} // namespace

TEST_CASE("every layer comes over by the operation of the structures, and fits them")
{
    const TownOnSeam town;
    const std::string by = "by Inverse of Swiss Oblique Mercator 1995 + CH1903+ to ETRS89 (1) + "
                           "Inverse of MGI to ETRS89 (1) + Austria Lambert (stated accuracy 1.6 m)";
    const ProgramResult check = town.run("check");
    for (const char* key :
         {"structures", "addresses", "neighbourhoods", "parcels", "elevation", "corrections"}) {
        CAPTURE(key);
        CHECK(check.err.find(fmt::format("inputs.{}: CH1903+ / LV95 (EPSG:2056) by the ", key)) !=
              std::string::npos);
    }
    CHECK(count_of(check.err, by) == 6);

    town.run("map");
    const auto manifest = nlohmann::json::parse(text_of(town.file("out/run.json")));
    std::size_t layers = 0;
    for (const auto& input : manifest.at("inputs"))
        if (input.contains("operation")) {
            CAPTURE(input.dump());
            ++layers;
            CHECK(by.find(input.at("operation").get<std::string>()) == 3);
            CHECK(input.at("accuracy_m") == 1.6);
        }
    CHECK(layers == 6);
    CHECK(manifest.at("corrections").at("cells_changed").get<int>() >= 4);
    for (const auto& warning : manifest.at("warnings")) { // Liechtenstein is not in Austria
        const std::string key = warning.at("key");
        CAPTURE(key);
        CHECK((key == "outside_area_of_use" || key == "grids_missing" || key == "coarse_cells"));
    }
    for (const SqlRow& row :
         sql(town.file("out/fuelring.gpkg"), "select neighbourhood, slope_pct from structures")) {
        CHECK(row[0].text.value() == "all");
        CHECK(row[1].number.value() ==
              Approx(20).epsilon(2e-3)); // metres of Lambert are not the ground's
    }
    CHECK(sql_number(town.file("out/fuelring.gpkg"),
                     "select count(*) from addresses where structure_id = "
                     "'H' || printf('%02d', cast(address as integer))") == 12);

    const ProgramResult treat = town.run("treat", {"--verbose"});
    CHECK(treat.err.find("treat.keep_out: CH1903+ / LV95 (EPSG:2056) by the file, reprojected to "
                         "MGI / Austria Lambert (EPSG:31287) " +
                         by) != std::string::npos);
}

TEST_CASE("shards on both sides of a seam take one operation, and so does a rerun")
{
    const TownOnSeam town;
    town.run("map", {"--out", town.file("whole")});
    for (const char* shard : {"1/2", "2/2"})
        town.run("map", {"--shard", shard, "--out", town.file("parts")});
    town.run("merge", {"--out", town.file("merged"), town.file("parts/shard-1-of-2.part"),
                       town.file("parts/shard-2-of-2.part")});
    for (const char* name :
         {"addresses.csv", "neighbourhoods.csv", "priority.tif", "fuelring.gpkg"}) {
        CAPTURE(name);
        CHECK(text_of(town.file("whole") / name) == text_of(town.file("merged") / name));
    }
    const ProgramResult again = town.run("map", {"--out", town.file("whole")});
    CHECK(again.err.find("nothing changed") != std::string::npos);
}
