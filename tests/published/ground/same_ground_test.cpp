// SPDX-License-Identifier: Apache-2.0

// The same ground seen through five grids: 200 invented structures among invented woods.
#include "support/make_inputs.hpp"
#include "support/read_outputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <ogr_spatialref.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>
#include <random>

using namespace fuelring::test;
using doctest::Approx;

namespace {

constexpr int utm11 = 32611;
constexpr double west = 600'000, south = 5'600'000; ///< of the village, in UTM zone 11 N
constexpr double village_m = 540, margin_m = 115;
const double turn = 17 * std::acos(-1.0) / 180;

/// Woods with bent edges, some 60 m wide, on half of the land.
int code_on_ground(double x, double y)
{
    const double e = x - west;
    const double n = y - south;
    const double wood = std::sin(e / 23) + std::sin(n / 31 + 1) + std::sin((e + n) / 37 + 2);
    return wood > 0 ? conifer : grass;
}

std::unique_ptr<OGRCoordinateTransformation> way(int from, int to)
{
    OGRSpatialReference a;
    OGRSpatialReference b;
    a.importFromEPSG(from);
    b.importFromEPSG(to);
    a.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    b.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    std::unique_ptr<OGRCoordinateTransformation> found{OGRCreateCoordinateTransformation(&a, &b)};
    REQUIRE(found);
    return found;
}

/// What the ground shows in the middle of each cell of a grid of any CRS.
class Photograph {
public:
    Photograph(int epsg, const std::array<double, 6>& transform, std::int64_t cols)
        : to_utm_{way(epsg, utm11)}, g_{transform}, x_(static_cast<std::size_t>(cols)), y_{x_}
    {}

    int code_at(std::int64_t row, std::int64_t col)
    {
        if (row != row_)
            expose(row);
        return code_on_ground(x_[static_cast<std::size_t>(col)], y_[static_cast<std::size_t>(col)]);
    }

private:
    void expose(std::int64_t row)
    {
        row_ = row;
        const double r = static_cast<double>(row) + 0.5;
        for (std::size_t k = 0; k < x_.size(); ++k) {
            const double c = static_cast<double>(k) + 0.5;
            x_[k] = g_[0] + g_[1] * c + g_[2] * r;
            y_[k] = g_[3] + g_[4] * c + g_[5] * r;
        }
        to_utm_->Transform(static_cast<int>(x_.size()), x_.data(), y_.data());
    }

    std::shared_ptr<OGRCoordinateTransformation> to_utm_;
    std::array<double, 6> g_;
    std::vector<double> x_, y_;
    std::int64_t row_ = -1;
};

void photograph(const fs::path& file, FuelFile fuel)
{
    const auto camera = std::make_shared<Photograph>(fuel.epsg, fuel.transform, fuel.cols);
    fuel.code_at = [camera](std::int64_t row, std::int64_t col) {
        return camera->code_at(row, col);
    };
    make_fuel(file, fuel);
}

/// A north-up grid of another CRS around the village.
FuelFile around_village(int epsg, double width, double height)
{
    const auto there = way(utm11, epsg);
    double left = HUGE_VAL, right = -HUGE_VAL, bottom = HUGE_VAL, top = -HUGE_VAL;
    for (const double s : {0.0, 0.5, 1.0})
        for (const double t : {0.0, 0.5, 1.0}) {
            double x = west - margin_m + s * (village_m + 2 * margin_m);
            double y = south - margin_m + t * (village_m + 2 * margin_m);
            REQUIRE(there->Transform(1, &x, &y));
            left = std::min(left, x);
            right = std::max(right, x);
            bottom = std::min(bottom, y);
            top = std::max(top, y);
        }
    return {static_cast<std::int64_t>((right - left) / width) + 2,
            static_cast<std::int64_t>((top - bottom) / height) + 2,
            {left - width / 3, width, 0, top + height / 3, 0, -height},
            epsg,
            {}};
}

/// Metre cells of UTM turned by 17 degrees.
FuelFile turned_grid()
{
    const double half = village_m / 2 + margin_m;
    const auto cells = static_cast<std::int64_t>(2 * half * (std::cos(turn) + std::sin(turn))) + 2;
    const double side = static_cast<double>(cells) / 2;
    const double c = std::cos(turn);
    const double s = std::sin(turn);
    // The middle of the grid is the middle of the village.
    return {cells,
            cells,
            {west + village_m / 2 - side * (c + s), c, s, south + village_m / 2 + side * (c - s), s,
             -c},
            utm11,
            {}};
}

/// Turned rectangles, 36 m apart with some play.
std::vector<Shape> village()
{
    std::mt19937_64 rng{20241117};
    std::uniform_real_distribution<double> part{0, 1};
    std::vector<Shape> shapes;
    for (int k = 0; k < 200; ++k) {
        const double x = west + 20 + 36 * (k % 15) + 6 * part(rng);
        const double y = south + 20 + 36 * (k / 15) + 6 * part(rng);
        const double a = 4 + 4 * part(rng);
        const double b = 3 + 3 * part(rng);
        const double angle = 3.14 * part(rng);
        std::string wkt;
        for (const auto& [u, v] : {std::pair{-a, -b}, {a, -b}, {a, b}, {-a, b}, {-a, -b}})
            wkt += fmt::format("{}{:.17g} {:.17g}", wkt.empty() ? "" : ", ",
                               x + u * std::cos(angle) - v * std::sin(angle),
                               y + u * std::sin(angle) + v * std::cos(angle));
        shapes.push_back({fmt::format("H-{:03}", k), "POLYGON ((" + wkt + "))"});
    }
    return shapes;
}

struct Figures {
    double exposure = 0;
    std::vector<double> areas_m2; ///< footprint, then rings
};

/// One run of the program; also checks that the surface sums to the exposure.
class View {
public:
    View(const fs::path& folder, const std::string& name, const FuelFile& fuel)
        : out{folder / ("out_" + name)}, fuel_file{folder / (name + ".tif")}
    {
        photograph(fuel_file, fuel);
        ConfigFile config = hamlet_config(folder);
        config.tables.erase("inputs.addresses");
        config("inputs.fuel", "path") = toml_text(fuel_file);
        config.write(folder / (name + ".toml"));
        run = run_fuelring({"map", folder / (name + ".toml"), "--out", out, "--verbose"});
        INFO(run.err);
        REQUIRE(run.exit_code == 0);
        manifest = nlohmann::json::parse(text_of(out / "run.json"));
    }

    std::map<std::string, Figures> figures() const
    {
        std::map<std::string, Figures> found;
        for (const SqlRow& row : sql(out / "fuelring.gpkg", R"(select structure_id, exposure,
                 footprint_m2, "ring_m2_0_1.5m", "ring_m2_1.5_10m", ring_m2_10_30m,
                 ring_m2_30_100m from structures)"))
            found[row[0].text.value()] = {row[1].number.value(),
                                          {row[2].number.value(), row[3].number.value(),
                                           row[4].number.value(), row[5].number.value(),
                                           row[6].number.value()}};
        return found;
    }

    fs::path out;
    fs::path fuel_file;
    ProgramResult run;
    nlohmann::json manifest;
};

/// Every ring within 0.2 per cent. Exposure: a cell on the edge of a wood is wood or not by its
/// middle, so each of the n cells of edge in a ring errs by up to half a cell (deviation 0.29 m2
/// where cells and edge lie at random); in the innermost ring, some 75 m2 with weight 0.35, the 4
/// to 20 cells of an edge through it or along a wall come to 0.3 to 0.6 points for one grid and
/// 1.4 times that for two: 2 points are three deviations of the worst case. The mean of 200 with
/// a deviation of 0.5 has one of 0.035: 0.1 is three of them.
void check_same_ground(const View& utm, const View& other)
{
    const auto expected = utm.figures();
    const auto found = other.figures();
    REQUIRE(expected.size() == 200);
    REQUIRE(found.size() == 200);
    double sum = 0;
    double worst = 0;
    double worst_area = 0;
    for (const auto& [id, figures] : expected) {
        const Figures& there = found.at(id);
        sum += there.exposure - figures.exposure;
        worst = std::max(worst, std::abs(there.exposure - figures.exposure));
        for (std::size_t k = 0; k < figures.areas_m2.size(); ++k)
            worst_area =
                std::max(worst_area, std::abs(there.areas_m2[k] / figures.areas_m2[k] - 1));
    }
    MESSAGE("mean difference " << sum / 200 << ", largest " << worst << ", areas within "
                               << 100 * worst_area << " %");
    CHECK(std::abs(sum / 200) < 0.1);
    CHECK(worst < 2);
    CHECK(worst_area < 0.002);
    const nlohmann::json& totals = other.manifest.at("totals");
    CHECK(totals.at("sum_surface_points").get<double>() ==
          Approx(totals.at("sum_exposure_points").get<double>()).epsilon(1e-6));
}

struct Village {
    TempFolder temp;
    View utm;

    Village()
        : utm{(make_layer(temp.path() / "structures.gpkg", "GPKG", "structure_id", utm11,
                          village()),
               temp.path()),
              "utm", around_village(utm11, 1, 1)}
    {}
};

const Village& village_in_utm()
{
    static const Village here;
    return here;
}

std::string rule_of(const View& view)
{
    return view.manifest.at("crs").at("rule").get<std::string>();
}

} // namespace

TEST_CASE("rasters in other systems, turned and sheared find the same ground")
{
    FuelFile sheared = around_village(utm11, 1, 1);
    sheared.transform[2] = 0.2; // each row begins 0.2 m farther east
    sheared.transform[0] -= 0.2 * static_cast<double>(sheared.rows);
    sheared.cols += sheared.rows / 5;
    const struct {
        std::string name;
        FuelFile fuel;
        std::string rule;
        std::vector<std::string> said;
    } cases[] = {
        {"degrees",
         around_village(4326, 1.3e-5, 0.9e-5),
         "warped",
         {"the raster is in degrees (WGS 84 (EPSG:4326)), which are not metres",
          "warped by nearest neighbour"}},
        {"mercator", around_village(3857, 1.6, 1.6), "scaled", {"overstates areas here 2.47"}},
        {"canadian_atlas", around_village(3978, 1, 1), "scaled", {"understates areas here by 1.1"}},
        // An Albers grid far from its parallels.
        {"albers", around_village(5070, 1, 1), "warped", {"differ by direction here"}},
        {"turned_by_17_degrees", turned_grid(), "grid_stands", {}},
        {"sheared", sheared, "warped", {"not at right angles (sheared grid)"}},
    };
    const Village& here = village_in_utm();
    CHECK(rule_of(here.utm) == "grid_stands");
    for (const auto& c : cases) {
        CAPTURE(c.name);
        const View view{here.temp.path(), c.name, c.fuel};
        CHECK(rule_of(view) == c.rule);
        for (const std::string& words : c.said)
            CHECK(view.run.said(words));
        check_same_ground(here.utm, view);
    }
}

TEST_CASE("a warped run gives the same bytes for any number of workers and size of tile")
{
    const Village& here = village_in_utm();
    const View one{here.temp.path(), "again", around_village(4326, 1.3e-5, 0.9e-5)};
    const fs::path toml = here.temp.path() / "again.toml";
    write_text(toml, text_of(toml) + "[run]\njobs = 3\ntile_cells = 64\n");
    const fs::path out = here.temp.path() / "out_small_tiles";
    must_succeed(run_fuelring({"map", toml, "--out", out}));
    for (const char* name : {"priority.tif", "fuel_used.tif", "addresses.csv"}) {
        CAPTURE(name);
        CHECK((text_of(out / name) == text_of(one.out / name)));
    }
}
